import { Module } from '@nestjs/common';
import { DowntimeController } from './downtime.controller';
import { DowntimeRepository } from './downtime.repository';
import { DowntimeService } from './downtime.service';

@Module({ controllers: [DowntimeController], providers: [DowntimeService, DowntimeRepository] })
export class DowntimeModule {}
