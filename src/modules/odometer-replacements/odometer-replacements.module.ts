import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { DueItemsModule } from '../due-items/due-items.module';
import { OdometerReadingsModule } from '../odometer-readings/odometer-readings.module';
import { OdometerReplacement } from './odometer-replacement.entity';
import { OdometerReplacementsController } from './odometer-replacements.controller';
import { OdometerReplacementsRepository } from './odometer-replacements.repository';
import { OdometerReplacementsService } from './odometer-replacements.service';

@Module({
  imports: [TypeOrmModule.forFeature([OdometerReplacement]), DueItemsModule, OdometerReadingsModule],
  controllers: [OdometerReplacementsController],
  providers: [OdometerReplacementsService, OdometerReplacementsRepository],
  exports: [OdometerReplacementsService],
})
export class OdometerReplacementsModule {}
