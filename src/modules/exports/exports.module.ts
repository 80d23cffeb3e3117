import { Module } from '@nestjs/common';
import { ExportsController } from './exports.controller';
import { ExportsRepository } from './exports.repository';
import { ExportsService } from './exports.service';

@Module({ controllers: [ExportsController], providers: [ExportsService, ExportsRepository] })
export class ExportsModule {}
