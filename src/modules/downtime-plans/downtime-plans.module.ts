import { Module } from '@nestjs/common';
import { TypeOrmModule } from '@nestjs/typeorm';
import { BlackoutPeriodsModule } from '../blackout-periods/blackout-periods.module';
import { BookingsModule } from '../bookings/bookings.module';
import { DueItemsModule } from '../due-items/due-items.module';
import { PlanningSettingsModule } from '../planning-settings/planning-settings.module';
import { RosterNeedsModule } from '../roster-needs/roster-needs.module';
import { WorkshopReachModule } from '../workshop-reach/workshop-reach.module';
import { WorkshopsModule } from '../workshops/workshops.module';
import { DowntimePlanFilesController } from './downtime-plan-files.controller';
import { DowntimePlanFilesService } from './downtime-plan-files.service';
import { DowntimePlanRunnerService } from './downtime-plan-runner.service';
import { DowntimePlan } from './downtime-plan.entity';
import { DowntimePlansController } from './downtime-plans.controller';
import { DowntimePlansRepository } from './downtime-plans.repository';
import { DowntimePlansService } from './downtime-plans.service';
import { NamedInPlanService } from './named-in-plan.service';
import { PlanAcceptanceService } from './plan-acceptance.service';
import { PlanInputsRepository } from './plan-inputs.repository';
import { PlanInputsService } from './plan-inputs.service';
import { PlannedItem } from './planned-item.entity';
import { PlannedVisit } from './planned-visit.entity';

@Module({
  imports: [
    TypeOrmModule.forFeature([DowntimePlan, PlannedVisit, PlannedItem]),
    BookingsModule,
    DueItemsModule,
    WorkshopsModule,
    RosterNeedsModule,
    BlackoutPeriodsModule,
    WorkshopReachModule,
    PlanningSettingsModule,
  ],
  controllers: [DowntimePlansController, DowntimePlanFilesController],
  providers: [
    DowntimePlansService,
    DowntimePlanFilesService,
    DowntimePlanRunnerService,
    PlanAcceptanceService,
    NamedInPlanService,
    PlanInputsService,
    PlanInputsRepository,
    DowntimePlansRepository,
  ],
})
export class DowntimePlansModule {}
