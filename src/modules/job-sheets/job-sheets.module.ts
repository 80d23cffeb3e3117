import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { BookingsModule } from '../bookings/bookings.module';
import { DueItemsModule } from '../due-items/due-items.module';
import { GasUnitEventsModule } from '../gas-unit-events/gas-unit-events.module';
import { GasUnitsModule } from '../gas-units/gas-units.module';
import { GaugesModule } from '../gauges/gauges.module';
import { HoldsModule } from '../holds/holds.module';
import { HydraulicSystemsModule } from '../hydraulic-systems/hydraulic-systems.module';
import { OdometerReadingsModule } from '../odometer-readings/odometer-readings.module';
import { SystemTestsModule } from '../system-tests/system-tests.module';
import { TaskCompletionsModule } from '../task-completions/task-completions.module';
import { WorkshopsModule } from '../workshops/workshops.module';
import { JobCompletionService } from './job-completion.service';
import { JobResultsService } from './job-results.service';
import { JobSheetRecord } from './job-sheet-record.entity';
import { JobSheetsController } from './job-sheets.controller';
import { JobSheetsRepository } from './job-sheets.repository';
import { JobSheetsService } from './job-sheets.service';

@Module({
  imports: [
    TypeOrmModule.forFeature([JobSheetRecord]),
    BookingsModule,
    DueItemsModule,
    GasUnitEventsModule,
    GasUnitsModule,
    GaugesModule,
    HoldsModule,
    HydraulicSystemsModule,
    OdometerReadingsModule,
    SystemTestsModule,
    TaskCompletionsModule,
    WorkshopsModule,
  ],
  controllers: [JobSheetsController],
  providers: [JobSheetsService, JobCompletionService, JobResultsService, JobSheetsRepository],
})
export class JobSheetsModule {}
