import { Injectable } from '@nestjs/common';
import { addDays, localDateAt, startOfLocalDay } from '../../core/shared/calendar-date';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError } from '../../platform/errors/coded-error';
import type { JobData } from '../../platform/jobs/job-queues';
import { systemPrincipal, type Principal } from '../../platform/security/principal';
import { VisitBookingService, type PlannedPlace } from '../bookings/visit-booking.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import { WorkshopDiariesService } from '../workshops/workshop-diaries.service';
import { carriedOutOf } from './carried-out';
import type { DowntimePlan } from './downtime-plan.entity';
import { DowntimePlansRepository } from './downtime-plans.repository';
import { PlanInputsService } from './plan-inputs.service';
import type { PlannedVisit } from './planned-visit.entity';
import { workBooked } from './work-booked';

type Acceptance = JobData['accept-downtime-plan'];

/** Somebody else may be faster to the time that was planned, to the one chosen instead, and to the next one. */
const TRIES = 4;

/**
 * Makes bookings out of the visits of a plan, by the way that every booking takes. Each visit is one transaction: it is
 * booked and noted as such, or refused with what is in the way.
 */
@Injectable()
export class PlanAcceptanceService {
  constructor(
    private readonly transactions: Transactions,
    private readonly plans: DowntimePlansRepository,
    private readonly visits: VisitBookingService,
    private readonly workshops: WorkshopDiariesService,
    private readonly inputs: PlanInputsService,
    private readonly places: VehiclePlacesService,
    private readonly audit: AuditTrail,
    private readonly clock: Clock,
  ) {}

  async run({ organisationId, planId, visitIds, actorId, actor }: Acceptance): Promise<void> {
    const system = systemPrincipal(organisationId, 'acceptance of a downtime plan');
    const plan = await this.transactions.run(system, (tx) => this.plans.find(tx, planId));
    if (plan?.state !== 'accepting') return;
    const principal: Principal = { ...system, actorId, actor };
    try {
      await this.acceptAll(principal, plan, visitIds);
    } catch (error) {
      if (!(error instanceof CodedError) || error.code === 'unavailable') throw error;
      // such as a key that has been revoked: what is not booked yet stays open, for somebody else to accept
      await this.transactions.run(system, (tx) =>
        this.plans.setState(tx, planId, ['accepting'], 'ready', { failure: error.detail }),
      );
    }
  }

  private async acceptAll(
    principal: Principal,
    plan: DowntimePlan,
    visitIds: readonly string[] | null,
  ): Promise<void> {
    const open = await this.transactions.run(principal, (tx) =>
      this.plans.openVisitIds(tx, plan.id, visitIds),
    );
    for (const visitId of open) await this.accept(principal, plan, visitId);
    await this.transactions.run(principal, async (tx) => {
      const { open: undecided, refused, booked } = await this.plans.countVisits(tx, plan.id);
      // what is left may be accepted later, or planned again
      const state = undecided + refused === 0 ? 'accepted' : 'ready';
      await this.plans.setState(tx, plan.id, ['accepting'], state);
      await this.audit.record(tx, principal, {
        action: 'accepted',
        subjectType: 'downtime-plan',
        subjectId: plan.id,
        fleetId: plan.fleetId,
        after: { state, booked, refused, open: undecided },
      });
    });
  }

  private async accept(principal: Principal, plan: DowntimePlan, visitId: string): Promise<void> {
    for (let attempt = 1; ; attempt++) {
      try {
        await this.transactions.run(principal, (tx) =>
          this.book(tx, principal, plan, visitId, attempt === 1),
        );
        return;
      } catch (error) {
        if (!(error instanceof CodedError) || error.code === 'unavailable') throw error;
        if (error.code === 'slot-taken' && attempt < TRIES) continue;
        await this.transactions.run(principal, (tx) =>
          this.plans.decideVisit(tx, visitId, { refusal: error.detail }),
        );
        return;
      }
    }
  }

  private async book(
    tx: Tx,
    principal: Principal,
    plan: DowntimePlan,
    visitId: string,
    asPlanned: boolean,
  ): Promise<void> {
    const visit = await this.plans.lockVisit(tx, plan.id, visitId);
    if (visit === null || visit.acceptance === 'booked') return;
    const { zone } = await this.places.lock(tx, visit.vehicleId);
    const keys = await this.keysOf(tx, plan, visit, zone);
    const [{ workshop }] = (await this.workshops.whole(tx, [visit.workshopId], '#/workshopId')) as [
      Awaited<ReturnType<WorkshopDiariesService['whole']>>[number],
    ];
    const fromAt = Math.max(this.clock.now(), startOfLocalDay(visit.visitOn, workshop.zone));
    const untilAt = startOfLocalDay(addDays(visit.untilOn, 1), workshop.zone);
    if (fromAt >= untilAt) throw new CodedError('state-conflict', `${visit.visitOn} has passed.`);
    const booking = await this.visits.book(tx, principal, {
      vehicleId: visit.vehicleId,
      workshopId: visit.workshopId,
      dueItemKeys: keys,
      note: `Downtime plan "${plan.name}"`,
      fromAt,
      untilAt,
      place: asPlanned ? placeOf(visit, fromAt) : null,
    });
    await this.plans.decideVisit(tx, visitId, { bookingId: booking.id });
  }

  /**
   * The items of a visit that still stand as they were planned, those aside that others settle. The vehicle is locked, so
   * that nobody books them meanwhile.
   */
  private async keysOf(tx: Tx, plan: DowntimePlan, visit: PlannedVisit, zone: string): Promise<string[]> {
    const planned = await this.plans.itemsOfVisit(tx, plan.id, visit.id);
    const owed = await this.inputs.owedNow(tx, visit.vehicleId);
    const standing = owed.filter(({ key, cycle }) =>
      planned.some(({ itemKey, details }) => itemKey === key && details.cycle === cycle),
    );
    if (standing.length < planned.length)
      throw new CodedError(
        'state-conflict',
        'Some of its work has been done or has changed since the plan was made; plan again.',
      );
    const booked = workBooked(owed, await this.inputs.bookedNow(tx, visit.vehicleId));
    const taken = booked.find(({ item }) => standing.includes(item));
    if (taken !== undefined)
      throw new CodedError(
        'state-conflict',
        `${taken.item.title} is booked for ${localDateAt(taken.booking.startsAt, zone)} already; plan again.`,
      );
    return carriedOutOf(standing).map(({ key }) => key);
  }
}

/** Where a visit was planned, unless that has passed. */
function placeOf({ startsAt, bayId, technicianIds }: PlannedVisit, nowAt: number): PlannedPlace | null {
  if (startsAt === null || bayId === null || startsAt.getTime() < nowAt) return null;
  return { startsAt: startsAt.getTime(), bayId, technicianIds };
}
