import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { BlackoutPeriodsModule } from '../blackout-periods/blackout-periods.module';
import { BookingsModule } from '../bookings/bookings.module';
import { DepotsModule } from '../depots/depots.module';
import { DueItemsModule } from '../due-items/due-items.module';
import { DutyChangesModule } from '../duty-changes/duty-changes.module';
import { FleetsModule } from '../fleets/fleets.module';
import { GasUnitEventsModule } from '../gas-unit-events/gas-unit-events.module';
import { GasUnitsModule } from '../gas-units/gas-units.module';
import { GaugesModule } from '../gauges/gauges.module';
import { HydraulicSystemsModule } from '../hydraulic-systems/hydraulic-systems.module';
import { OdometerReadingsModule } from '../odometer-readings/odometer-readings.module';
import { OdometerReplacementsModule } from '../odometer-replacements/odometer-replacements.module';
import { OffRoadPeriodsModule } from '../off-road-periods/off-road-periods.module';
import { RosterNeedsModule } from '../roster-needs/roster-needs.module';
import { SystemTestsModule } from '../system-tests/system-tests.module';
import { TaskCompletionsModule } from '../task-completions/task-completions.module';
import { VehiclesModule } from '../vehicles/vehicles.module';
import { WorkshopsModule } from '../workshops/workshops.module';
import { ImportBatchService } from './import-batch.service';
import { ImportChunk } from './import-chunk.entity';
import { ImportKindsService } from './import-kinds.service';
import { ImportKindsController } from './import-kinds.controller';
import { ImportLine } from './import-line.entity';
import { ImportMetrics } from './import-metrics';
import { ImportRunnerService } from './import-runner.service';
import { Import } from './import.entity';
import { ImportsController } from './imports.controller';
import { ImportsRepository } from './imports.repository';
import { ImportsService } from './imports.service';
import { PlaceImportKinds } from './place-import-kinds';
import { UnitImportKinds } from './unit-import-kinds';

@Module({
  imports: [
    TypeOrmModule.forFeature([Import, ImportChunk, ImportLine]),
    FleetsModule,
    DepotsModule,
    VehiclesModule,
    DueItemsModule,
    DutyChangesModule,
    GasUnitEventsModule,
    GasUnitsModule,
    GaugesModule,
    HydraulicSystemsModule,
    OdometerReadingsModule,
    OdometerReplacementsModule,
    OffRoadPeriodsModule,
    TaskCompletionsModule,
    BlackoutPeriodsModule,
    BookingsModule,
    RosterNeedsModule,
    SystemTestsModule,
    WorkshopsModule,
  ],
  controllers: [ImportsController, ImportKindsController],
  providers: [
    ImportsService,
    ImportsRepository,
    ImportRunnerService,
    ImportBatchService,
    ImportKindsService,
    ImportMetrics,
    UnitImportKinds,
    PlaceImportKinds,
  ],
  exports: [ImportRunnerService],
})
export class ImportsModule {}
