import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { OdometerReading } from './odometer-reading.entity';
import { OdometerReadingsController } from './odometer-readings.controller';
import { OdometerReadingsRepository } from './odometer-readings.repository';
import { OdometerReadingsService } from './odometer-readings.service';

@Module({
  imports: [TypeOrmModule.forFeature([OdometerReading]), DueItemsModule],
  controllers: [OdometerReadingsController],
  providers: [OdometerReadingsService, OdometerReadingsRepository],
  exports: [OdometerReadingsService],
})
export class OdometerReadingsModule {}
