import { Readable } from 'node:stream';
import { setTimeout } from 'node:timers/promises';
import { Injectable } from '@nestjs/common';
import { v7 as uuidv7 } from 'uuid';
import { addDays, daysBetween, localDateAt } from '../../core/shared/calendar-date';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { Jobs } from '../../platform/jobs/jobs';
import { PlanningSettingsService } from '../planning-settings/planning-settings.service';
import type { DowntimePlan, PlanState } from './downtime-plan.entity';
import {
  fleetExpected,
  fleetWithoutDepots,
  noSuchDepot,
  noSuchVisit,
  otherCurrency,
  otherFleet,
  planBegan,
  planNot,
  restsOnAssumptions,
} from './downtime-plans.errors';
import { DowntimePlansRepository } from './downtime-plans.repository';
import type {
  ListDowntimePlansQueryDto,
  ListPlannedItemsQueryDto,
  ListPlannedVisitsQueryDto,
} from './dto/downtime-plan-params.dto';
import {
  toDowntimePlanDto,
  toPlanProgressDto,
  type DowntimePlanDto,
  type PlanComparisonDto,
  type PlanFiguresDto,
  type PlanProgressDto,
} from './dto/downtime-plan.dto';
import {
  toPlannedItemDto,
  toPlannedVisitDto,
  type PlannedItemDto,
  type PlannedVisitDto,
  type PlanViewsDto,
} from './dto/planned-visit.dto';
import type { AcceptDowntimePlanDto, CreateDowntimePlanDto } from './dto/write-downtime-plan.dto';
import { NamedInPlanService } from './named-in-plan.service';
import { PlanInputsService } from './plan-inputs.service';
import { requiredOutcome } from './required-outcome';
import { untilOnOf, wantedAssumptions, wantedWishes, wishesWithin } from './wanted-plan';

const TELL_EVERY_MS = 1_000;
const UNDER_WAY: readonly PlanState[] = ['queued', 'running', 'accepting'];

@Injectable()
export class DowntimePlansService {
  constructor(
    private readonly transactions: Transactions,
    private readonly plans: DowntimePlansRepository,
    private readonly inputs: PlanInputsService,
    private readonly settings: PlanningSettingsService,
    private readonly named: NamedInPlanService,
    private readonly jobs: Jobs,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  list({ principal }: RequestContext, query: ListDowntimePlansQueryDto): Promise<Page<DowntimePlanDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'downtime-plans', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.plans.list(tx, filter, after === null ? null : String(after[0]), limit);
      return this.cursors.page(rows, limit, bound, ({ id }) => [id], toDowntimePlanDto);
    });
  }

  get({ principal }: RequestContext, planId: string): Promise<DowntimePlanDto> {
    return this.transactions.read(principal, async (tx) => toDowntimePlanDto(await this.require(tx, planId)));
  }

  /** Writes down what is to be planned, and queues the work. */
  create(context: RequestContext, body: CreateDowntimePlanDto): Promise<DowntimePlanDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const base = body.basedOnId === undefined ? null : await this.require(tx, body.basedOnId);
      const plan = await this.planOf(tx, body, base);
      const { organisationId, actorId, actor } = principal;
      const now = new Date(this.clock.now());
      const record: DowntimePlan = {
        ...plan,
        organisationId,
        id: uuidv7(),
        state: 'queued',
        stopRequested: false,
        progress: null,
        outcome: null,
        failure: null,
        actorId,
        createdBy: actor,
        endedAt: null,
        revision: 1,
        createdAt: now,
        updatedAt: now,
      };
      await this.plans.create(tx, record);
      await this.jobs.enqueue(tx, 'make-downtime-plan', { organisationId, planId: record.id });
      const answer = toDowntimePlanDto(record);
      await this.audit.record(tx, principal, { ...subject('started', record), after: answer });
      return answer;
    });
  }

  progress({ principal }: RequestContext, planId: string): Promise<PlanProgressDto> {
    return this.transactions.read(principal, async (tx) => toPlanProgressDto(await this.require(tx, planId)));
  }

  /** Tells every second how far a plan is, until it is ready or cannot become so; as server-sent events. */
  async progressEvents(context: RequestContext, planId: string): Promise<Readable> {
    const first = await this.progress(context, planId);
    const tell = async function* (this: DowntimePlansService): AsyncGenerator<string> {
      for (let now = first; ; now = await this.progress(context, planId)) {
        yield `data: ${JSON.stringify(now)}\n\n`;
        if (!UNDER_WAY.includes(now.state)) return;
        await setTimeout(TELL_EVERY_MS);
      }
    };
    return Readable.from(tell.call(this));
  }

  /** The best plan so far is good enough. */
  stop(context: RequestContext, planId: string, revision: number): Promise<DowntimePlanDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const plan = await this.lock(tx, planId, revision);
      if (plan.state !== 'queued' && plan.state !== 'running') throw planNot(plan.state, 'stopped');
      await this.plans.requestStop(tx, planId);
      const answer = toDowntimePlanDto(await this.require(tx, planId));
      await this.audit.record(tx, principal, { ...subject('stopped', plan), after: answer });
      return answer;
    });
  }

  /** Queues the booking of its visits. */
  accept(
    context: RequestContext,
    planId: string,
    revision: number,
    body: AcceptDowntimePlanDto,
  ): Promise<DowntimePlanDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const plan = await this.lock(tx, planId, revision);
      if (plan.state !== 'ready') throw planNot(plan.state, 'accepted');
      if (plan.assumptions.length > 0) throw restsOnAssumptions();
      const visitIds = body.visitIds ?? null;
      if (visitIds !== null) {
        const known = await this.plans.knownVisitIds(tx, planId, visitIds);
        const missing = visitIds.findIndex((id) => !known.includes(id));
        if (missing >= 0) throw noSuchVisit(visitIds[missing] ?? '', missing);
      }
      await this.plans.setState(tx, planId, ['ready'], 'accepting');
      const { organisationId, actorId, actor } = principal;
      const job = { organisationId, planId, visitIds, actorId, actor };
      await this.jobs.enqueue(tx, 'accept-downtime-plan', job);
      const answer = toDowntimePlanDto(await this.require(tx, planId));
      await this.audit.record(tx, principal, { ...subject('acceptance-asked', plan), after: { visitIds } });
      return answer;
    });
  }

  visits(
    { principal }: RequestContext,
    planId: string,
    query: ListPlannedVisitsQueryDto,
  ): Promise<Page<PlannedVisitDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'planned-visits', organisationId: principal.organisationId, planId, filter };
    const after = this.cursors.after(cursor, bound);
    const seen = after === null ? null : { on: String(after[0]), id: String(after[1]) };
    return this.transactions.read(principal, async (tx) => {
      await this.require(tx, planId);
      const rows = await this.plans.visits(tx, planId, filter, seen, limit);
      return this.cursors.page(rows, limit, bound, ({ visitOn, id }) => [visitOn, id], toPlannedVisitDto);
    });
  }

  items(
    { principal }: RequestContext,
    planId: string,
    query: ListPlannedItemsQueryDto,
  ): Promise<Page<PlannedItemDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'planned-items', organisationId: principal.organisationId, planId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.require(tx, planId);
      const rows = await this.plans.items(
        tx,
        planId,
        filter,
        after === null ? null : String(after[0]),
        limit,
      );
      return this.cursors.page(rows, limit, bound, ({ id }) => [id], toPlannedItemDto);
    });
  }

  views({ principal }: RequestContext, planId: string): Promise<PlanViewsDto> {
    return this.transactions.read(principal, async (tx) => {
      const { depots, workshops } = requiredOutcome(await this.require(tx, planId));
      return { depots, workshops };
    });
  }

  compare({ principal }: RequestContext, planId: string, withId: string): Promise<PlanComparisonDto> {
    return this.transactions.read(principal, async (tx) => {
      const one = requiredOutcome(await this.require(tx, planId));
      const other = requiredOutcome(await this.require(tx, withId));
      if (one.currency !== other.currency) throw otherCurrency();
      const difference = Object.fromEntries(
        Object.entries(one.plan).map(([name, value]) => [
          name,
          (value as number) - other.plan[name as keyof PlanFiguresDto],
        ]),
      ) as unknown as PlanFiguresDto;
      return { planId, withId, currency: one.currency, plan: one.plan, other: other.plan, difference };
    });
  }

  private async planOf(tx: Tx, body: CreateDowntimePlanDto, base: DowntimePlan | null) {
    const fleetId = body.fleetId ?? base?.fleetId;
    if (fleetId === undefined) throw fleetExpected();
    if (base !== null && fleetId !== base.fleetId) throw otherFleet();
    const wanted = body.depotIds ?? base?.depotIds ?? null;
    const depots = await this.inputs.depots(tx, fleetId, wanted);
    const missing = (wanted ?? []).findIndex((id) => !depots.some((depot) => depot.id === id));
    if (missing >= 0) throw noSuchDepot(wanted?.[missing] ?? '', missing);
    const [first] = depots;
    if (first === undefined) throw fleetWithoutDepots(fleetId);
    const todayOn = localDateAt(this.clock.now(), first.zone);
    const begun = base === null || base.fromOn <= todayOn ? addDays(todayOn, 1) : base.fromOn;
    const fromOn = body.fromOn ?? begun;
    if (fromOn < todayOn) throw planBegan(fromOn, todayOn);
    const days =
      body.days ??
      (base === null ? (await this.settings.of(tx)).horizonDays : daysBetween(base.fromOn, base.untilOn));
    const untilOn = untilOnOf(fromOn, days);
    await this.named.check(tx, body, depots);
    return {
      fleetId,
      depotIds: depots.map(({ id }) => id),
      name: body.name ?? base?.name ?? `From ${fromOn}`,
      fromOn,
      untilOn,
      seed: body.seed ?? base?.seed ?? 1,
      effort: body.effort ?? base?.effort ?? ('normal' as const),
      basedOnId: base?.id ?? null,
      wishes:
        body.wishes === undefined
          ? wishesWithin(base?.wishes ?? { locked: [], forbidden: [] }, fromOn, untilOn)
          : wantedWishes(body.wishes, fromOn, untilOn),
      assumptions:
        body.assumptions === undefined ? (base?.assumptions ?? []) : wantedAssumptions(body.assumptions),
    };
  }

  private async lock(tx: Tx, planId: string, revision: number): Promise<DowntimePlan> {
    const plan = await this.plans.lock(tx, planId);
    if (plan === null) throw notFound('downtime plan', planId);
    expectRevision(plan, revision);
    return plan;
  }

  async require(tx: Tx, planId: string): Promise<DowntimePlan> {
    const plan = await this.plans.find(tx, planId);
    if (plan === null) throw notFound('downtime plan', planId);
    return plan;
  }
}

const subject = (action: ActionOn<'downtime-plan'>, { id, fleetId }: Pick<DowntimePlan, 'id' | 'fleetId'>) =>
  ({ action, subjectType: 'downtime-plan', subjectId: id, fleetId }) as const;
