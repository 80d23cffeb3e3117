import { Injectable } from '@nestjs/common';
import { daysBetween, startOfLocalDay } from '../../core/shared/calendar-date';
import { Clock } from '../../platform/clock/clock';
import type { Tx } from '../../platform/database/transactions';
import { BlackoutPeriodsService } from '../blackout-periods/blackout-periods.service';
import { VisitBookingService } from '../bookings/visit-booking.service';
import { PlanningSettingsService } from '../planning-settings/planning-settings.service';
import { RosterNeedsService } from '../roster-needs/roster-needs.service';
import { WorkshopReachService } from '../workshop-reach/workshop-reach.service';
import type { DowntimePlan } from './downtime-plan.entity';
import type { DepotRow, OwedItem, PlanRecords, StandingBooking, WayToWorkshop } from './plan-inputs';
import { PlanInputsRepository } from './plan-inputs.repository';

const MS_PER_HOUR = 3_600_000;
/** Zones differ by no more from the zone of a depot. */
const WIDEST_ZONES_MS = 26 * MS_PER_HOUR;

/** Reads everything that a downtime plan is made from, as it stands in one transaction. */
@Injectable()
export class PlanInputsService {
  constructor(
    private readonly inputs: PlanInputsRepository,
    private readonly rosters: RosterNeedsService,
    private readonly blackouts: BlackoutPeriodsService,
    private readonly reaches: WorkshopReachService,
    private readonly settings: PlanningSettingsService,
    private readonly diaries: VisitBookingService,
    private readonly clock: Clock,
  ) {}

  /** @param depotIds null: all of the fleet */
  depots(tx: Tx, fleetId: string, depotIds: readonly string[] | null): Promise<DepotRow[]> {
    return this.inputs.depots(tx, fleetId, depotIds);
  }

  owedNow(tx: Tx, vehicleId: string): Promise<OwedItem[]> {
    return this.inputs.itemsOfVehicle(tx, vehicleId);
  }

  bookedNow(tx: Tx, vehicleId: string): Promise<StandingBooking[]> {
    return this.inputs.bookingsOfVehicle(tx, vehicleId, new Date(this.clock.now()));
  }

  async read(
    tx: Tx,
    plan: Pick<DowntimePlan, 'fleetId' | 'depotIds' | 'fromOn' | 'untilOn' | 'wishes' | 'assumptions'>,
  ): Promise<PlanRecords> {
    const { depotIds, fromOn, untilOn, wishes, assumptions } = plan;
    const depots = await this.inputs.depots(tx, plan.fleetId, depotIds);
    const zone = depots[0]?.zone ?? 'UTC';
    const fromAt = Math.max(this.clock.now(), startOfLocalDay(fromOn, zone) - WIDEST_ZONES_MS);
    const untilAt = startOfLocalDay(untilOn, zone) + WIDEST_ZONES_MS;
    const vehicles = await this.inputs.vehicles(tx, depotIds, fromOn);
    const vehicleIds = vehicles.map(({ id }) => id);
    const items = await this.inputs.items(tx, depotIds, untilOn);
    const bookings = await this.inputs.bookings(tx, depotIds, new Date(this.clock.now()));
    const needs = await this.rosters.neededOn(tx, depotIds, fromOn, untilOn);
    const blackouts = await this.blackouts.ofVehicles(tx, vehicleIds, fromOn, untilOn);
    const reaches = await this.reaches.ofDepots(tx, depotIds);
    const weights = await this.settings.of(tx);
    const named = new Set([...reaches.values()].flatMap((ways) => (ways ?? []).map((way) => way.workshopId)));
    for (const { workshopId } of wishes.locked) named.add(workshopId);
    // nothing is set for some depot: its vehicles can go to every workshop
    const andAllInUse = [...reaches.values()].includes(null);
    const diaries = await this.diaries.times(tx, { named: [...named], andAllInUse }, fromAt, untilAt);
    const all = diaries.map(({ booked }): WayToWorkshop => ({ workshopId: booked.id, costMinor: 0 }));
    return {
      fromOn,
      dayCount: daysBetween(fromOn, untilOn),
      depots,
      vehicles,
      items,
      bookings,
      neededOnRoad: new Map([...needs].map(([id, { neededByDay }]) => [id, neededByDay])),
      blackouts: new Map(
        [...blackouts].map(([id, periods]) => [
          id,
          periods.map((period) => ({
            fromOn: period.fromOn,
            untilOn: period.untilOn,
            reason: period.reason,
          })),
        ]),
      ),
      ways: new Map(
        [...reaches].map(([id, ways]) => [
          id,
          ways?.map(({ workshopId, transferCostMinor }) => ({ workshopId, costMinor: transferCostMinor })) ??
            all,
        ]),
      ),
      fromAt,
      untilAt,
      diaries,
      weights,
      wishes,
      assumptions,
    };
  }
}
