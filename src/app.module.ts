import { Module, type DynamicModule } from '@nestjs/common';
import type { Logger } from 'pino';
import { ApiKeysModule } from './modules/api-keys/api-keys.module';
import { AuditEntriesModule } from './modules/audit-entries/audit-entries.module';
import { AuditSealsModule } from './modules/audit-seals/audit-seals.module';
import { BlackoutPeriodsModule } from './modules/blackout-periods/blackout-periods.module';
import { BookingsModule } from './modules/bookings/bookings.module';
import { CalculationsModule } from './modules/calculations/calculations.module';
import { CalendarFeedsModule } from './modules/calendar-feeds/calendar-feeds.module';
import { ChangesModule } from './modules/changes/changes.module';
import { DemandModule } from './modules/demand/demand.module';
import { DepotAvailabilityModule } from './modules/depot-availability/depot-availability.module';
import { DepotsModule } from './modules/depots/depots.module';
import { DowntimePlansModule } from './modules/downtime-plans/downtime-plans.module';
import { DowntimeModule } from './modules/downtime/downtime.module';
import { DueItemsModule } from './modules/due-items/due-items.module';
import { DutyChangesModule } from './modules/duty-changes/duty-changes.module';
import { ExportsModule } from './modules/exports/exports.module';
import { FleetsModule } from './modules/fleets/fleets.module';
import { GasUnitEventsModule } from './modules/gas-unit-events/gas-unit-events.module';
import { GasUnitTypesModule } from './modules/gas-unit-types/gas-unit-types.module';
import { GasUnitsModule } from './modules/gas-units/gas-units.module';
import { GaugesModule } from './modules/gauges/gauges.module';
import { HoldsModule } from './modules/holds/holds.module';
import { HydraulicSystemsModule } from './modules/hydraulic-systems/hydraulic-systems.module';
import { ImportsModule } from './modules/imports/imports.module';
import { JobSheetsModule } from './modules/job-sheets/job-sheets.module';
import { OAuthClientsModule } from './modules/oauth-clients/oauth-clients.module';
import { OdometerReadingsModule } from './modules/odometer-readings/odometer-readings.module';
import { OdometerReplacementsModule } from './modules/odometer-replacements/odometer-replacements.module';
import { OffRoadPeriodsModule } from './modules/off-road-periods/off-road-periods.module';
import { OrganisationsModule } from './modules/organisations/organisations.module';
import { PeopleModule } from './modules/people/people.module';
import { PlanningSettingsModule } from './modules/planning-settings/planning-settings.module';
import { PrechargeModelsModule } from './modules/precharge-models/precharge-models.module';
import { RosterNeedsModule } from './modules/roster-needs/roster-needs.module';
import { ServiceProgrammesModule } from './modules/service-programmes/service-programmes.module';
import { SystemTestsModule } from './modules/system-tests/system-tests.module';
import { TaskCompletionsModule } from './modules/task-completions/task-completions.module';
import { UnitPositionsModule } from './modules/unit-positions/unit-positions.module';
import { UsageModelsModule } from './modules/usage-models/usage-models.module';
import { VehiclesModule } from './modules/vehicles/vehicles.module';
import { WebhookEndpointsModule } from './modules/webhook-endpoints/webhook-endpoints.module';
import { WorkshopReachModule } from './modules/workshop-reach/workshop-reach.module';
import { WorkshopsModule } from './modules/workshops/workshops.module';
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
        AuditEntriesModule,
        AuditSealsModule,
        BlackoutPeriodsModule,
        BookingsModule,
        CalculationsModule,
        CalendarFeedsModule,
        ChangesModule,
        DemandModule,
        DepotAvailabilityModule,
        DepotsModule,
        DowntimePlansModule,
        DowntimeModule,
        DueItemsModule,
        DutyChangesModule,
        ExportsModule,
        FleetsModule,
        GasUnitEventsModule,
        GasUnitTypesModule,
        GasUnitsModule,
        GaugesModule,
        HoldsModule,
        HydraulicSystemsModule,
        ImportsModule,
        JobSheetsModule,
        OAuthClientsModule,
        OdometerReadingsModule,
        OdometerReplacementsModule,
        OffRoadPeriodsModule,
        OrganisationsModule,
        PeopleModule,
        PlanningSettingsModule,
        PrechargeModelsModule,
        RosterNeedsModule,
        ServiceProgrammesModule,
        SystemTestsModule,
        TaskCompletionsModule,
        UnitPositionsModule,
        UsageModelsModule,
        VehiclesModule,
        WebhookEndpointsModule,
        WorkshopReachModule,
        WorkshopsModule,
      ],
    };
  }
}
