import { Module, type DynamicModule } from '@nestjs/common';
import type { Logger } from 'pino';
import { ApiKeysModule } from './modules/api-keys/api-keys.module';
import { DepotsModule } from './modules/depots/depots.module';
import { DueItemsModule } from './modules/due-items/due-items.module';
import { DutyChangesModule } from './modules/duty-changes/duty-changes.module';
import { FleetsModule } from './modules/fleets/fleets.module';
import { HoldsModule } from './modules/holds/holds.module';
import { HydraulicSystemsModule } from './modules/hydraulic-systems/hydraulic-systems.module';
import { ImportsModule } from './modules/imports/imports.module';
import { OdometerReadingsModule } from './modules/odometer-readings/odometer-readings.module';
import { OdometerReplacementsModule } from './modules/odometer-replacements/odometer-replacements.module';
import { OffRoadPeriodsModule } from './modules/off-road-periods/off-road-periods.module';
import { OrganisationsModule } from './modules/organisations/organisations.module';
import { ServiceProgrammesModule } from './modules/service-programmes/service-programmes.module';
import { TaskCompletionsModule } from './modules/task-completions/task-completions.module';
import { UsageModelsModule } from './modules/usage-models/usage-models.module';
import { VehiclesModule } from './modules/vehicles/vehicles.module';
import type { Config } from './platform/config/config';
import type { OpenDatabase } from './platform/database/open-database';
import { PlatformModule } from './platform/platform.module';

@Module({})
export class AppModule {
  static with(database: OpenDatabase, config: Config, logger: Logger): DynamicModule {
    return {
      module: AppModule,
      imports: [
        PlatformModule.with(database, config, logger),
        ApiKeysModule,
        DepotsModule,
        DueItemsModule,
        DutyChangesModule,
        FleetsModule,
        HoldsModule,
        HydraulicSystemsModule,
        ImportsModule,
        OdometerReadingsModule,
        OdometerReplacementsModule,
        OffRoadPeriodsModule,
        OrganisationsModule,
        ServiceProgrammesModule,
        TaskCompletionsModule,
        UsageModelsModule,
        VehiclesModule,
      ],
    };
  }
}
