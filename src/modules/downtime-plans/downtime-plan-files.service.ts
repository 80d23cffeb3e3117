import { Injectable } from '@nestjs/common';
import { Clock } from '../../platform/clock/clock';
import { Transactions } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import type { RequestContext } from '../../platform/http/request-context';
import { availabilityPicture } from './availability-picture';
import type { DowntimePlan } from './downtime-plan.entity';
import { DowntimePlansRepository, type VisitRow } from './downtime-plans.repository';
import { DowntimePlansService } from './downtime-plans.service';
import { planCalendar } from './plan-calendar';
import { planCsv } from './plan-csv';
import type { PlanOutcome } from './plan-outcome';
import type { ListedVisit } from './plan-views';
import { requiredOutcome } from './required-outcome';
import { workshopLoadPicture } from './workshop-load-picture';

const VISITS_AT_ONCE = 1_000;

/** Plans as pictures and files. */
@Injectable()
export class DowntimePlanFilesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly plans: DowntimePlansService,
    private readonly repository: DowntimePlansRepository,
    private readonly clock: Clock,
  ) {}

  async availability(context: RequestContext, planId: string, depotId: string): Promise<string> {
    const { depots } = await this.plans.views(context, planId);
    const depot = depots.find((each) => each.depotId === depotId);
    if (depot === undefined) throw notFound('depot in this plan', depotId);
    return availabilityPicture(depot);
  }

  async load(context: RequestContext, planId: string, workshopId: string): Promise<string> {
    const { workshops } = await this.plans.views(context, planId);
    const workshop = workshops.find((each) => each.workshopId === workshopId);
    if (workshop === undefined) throw notFound('workshop in this plan', workshopId);
    return workshopLoadPicture(workshop);
  }

  async csv(context: RequestContext, planId: string): Promise<string> {
    const { outcome, visits } = await this.listed(context, planId);
    return planCsv(visits, outcome.currency);
  }

  async calendar(context: RequestContext, planId: string): Promise<string> {
    const { plan, visits } = await this.listed(context, planId);
    return planCalendar(visits, { name: plan.name, stampedAt: this.clock.now() });
  }

  private listed(
    { principal }: RequestContext,
    planId: string,
  ): Promise<{ plan: DowntimePlan; outcome: PlanOutcome; visits: ListedVisit[] }> {
    return this.transactions.read(principal, async (tx) => {
      const plan = await this.plans.require(tx, planId);
      const outcome = requiredOutcome(plan);
      const visits: ListedVisit[] = [];
      for (let after: { on: string; id: string } | null = null; ;) {
        const rows: VisitRow[] = await this.repository.visits(tx, planId, {}, after, VISITS_AT_ONCE);
        const page = rows.slice(0, VISITS_AT_ONCE);
        visits.push(...page.map(listedVisit));
        const last = page.at(-1);
        if (rows.length <= VISITS_AT_ONCE || last === undefined) return { plan, outcome, visits };
        after = { on: last.visitOn, id: last.id };
      }
    });
  }
}

function listedVisit(visit: VisitRow): ListedVisit {
  return {
    id: visit.id,
    vehicle: visit.registrationMark,
    fleetNumber: visit.fleetNumber,
    depot: visit.depotName,
    workshop: visit.workshopName,
    zone: visit.zone,
    on: visit.visitOn,
    untilOn: visit.untilOn,
    minutes: visit.workMinutes,
    costMinor: visit.visitCostMinor + visit.itemCostMinor,
    isLocked: visit.locked,
    bookingId: visit.bookingId,
    items: visit.items.map(({ details }) => ({
      task: details.task,
      title: details.title,
      position: details.position,
      dueOn: details.dueOn,
      plannedOn: details.plannedOn ?? visit.untilOn,
      minutes: details.minutes,
    })),
  };
}
