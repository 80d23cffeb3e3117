import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { OffRoadPeriod } from './off-road-period.entity';

@Module({ imports: [TypeOrmModule.forFeature([OffRoadPeriod])] })
export class OffRoadPeriodsModule {}
