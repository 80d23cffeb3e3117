import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DutyChange } from './duty-change.entity';

@Module({ imports: [TypeOrmModule.forFeature([DutyChange])] })
export class DutyChangesModule {}
