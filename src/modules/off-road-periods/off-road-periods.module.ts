import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { OffRoadPeriod } from './off-road-period.entity';
import { OffRoadPeriodsController } from './off-road-periods.controller';
import { OffRoadPeriodsRepository } from './off-road-periods.repository';
import { OffRoadPeriodsService } from './off-road-periods.service';

@Module({
  imports: [TypeOrmModule.forFeature([OffRoadPeriod]), DueItemsModule],
  controllers: [OffRoadPeriodsController],
  providers: [OffRoadPeriodsService, OffRoadPeriodsRepository],
  exports: [OffRoadPeriodsService],
})
export class OffRoadPeriodsModule {}
