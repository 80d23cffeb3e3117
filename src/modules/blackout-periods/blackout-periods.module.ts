import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { BlackoutPeriod } from './blackout-period.entity';
import { BlackoutPeriodsController } from './blackout-periods.controller';
import { BlackoutPeriodsRepository } from './blackout-periods.repository';
import { BlackoutPeriodsService } from './blackout-periods.service';

@Module({
  imports: [TypeOrmModule.forFeature([BlackoutPeriod]), DueItemsModule],
  controllers: [BlackoutPeriodsController],
  providers: [BlackoutPeriodsService, BlackoutPeriodsRepository],
  exports: [BlackoutPeriodsService],
})
export class BlackoutPeriodsModule {}
