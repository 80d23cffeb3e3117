import { isDeepStrictEqual } from 'node:util';
import { Injectable } from '@nestjs/common';
import { addDays, localDateAt, type CalendarDate } from '../../core/shared/calendar-date';
import { openIntervals } from '../../core/working-time/open-intervals';
import { periodsOf } from '../../core/working-time/instant-set';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import { upsertEach, type Keyed } from '../../platform/bulk/upsert-each';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound, type FieldError } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { openingOf } from './diary-workshop';
import { WorkshopLine } from './dto/workshop-line.dto';
import type { HolidayRegionsDto, OpenDayDto, WorkshopOpeningDto } from './dto/workshop-opening.dto';
import type { ListWorkshopsQueryDto, WorkshopOpeningQueryDto } from './dto/workshop-params.dto';
import { toWorkshopDto, type WorkshopDto } from './dto/workshop.dto';
import type { CreateWorkshopDto, UpdateWorkshopDto } from './dto/write-workshop.dto';
import { holidayRegions } from './public-holidays';
import { dayExceptionFaults, dayExceptionsOf, weeklyFaults, weeklyWindowsOf } from './stored-hours';
import { WorkshopDiariesService } from './workshop-diaries.service';
import type { Workshop } from './workshop.entity';
import {
  gridNotDividing,
  hoursMissing,
  openingRangeRefused,
  refusedHours,
  unknownRegion,
  workshopKeyTaken,
} from './workshops.errors';
import { WorkshopsRepository } from './workshops.repository';

const MOST_DAYS_SHOWN = 400;
const DEFAULT_GRID_MINUTES = 15;
const MS_PER_DAY = 86_400_000;

@Injectable()
export class WorkshopsService {
  /** how a line of an imported file is checked */
  readonly lineClass = WorkshopLine;

  constructor(
    private readonly transactions: Transactions,
    private readonly workshops: WorkshopsRepository,
    private readonly diaries: WorkshopDiariesService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list({ principal }: RequestContext, query: ListWorkshopsQueryDto): Promise<Page<WorkshopDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'workshops', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const seen = after === null ? null : String(after[0]);
      const rows = await this.workshops.list(tx, filter, seen, limit);
      return this.cursors.page(rows, limit, bound, (row) => [row.id], toWorkshopDto);
    });
  }

  get({ principal }: RequestContext, workshopId: string): Promise<WorkshopDto> {
    return this.transactions.read(principal, async (tx) => toWorkshopDto(await this.require(tx, workshopId)));
  }

  async create(context: RequestContext, body: CreateWorkshopDto): Promise<WorkshopDto> {
    await refuseFaults(body);
    return this.transactions.write(context, (tx) => this.add(tx, context.principal, body));
  }

  /** Bookings that stand stay as they are; those that the new hours shut out are listed as in the way. */
  async update(
    context: RequestContext,
    workshopId: string,
    revision: number,
    body: UpdateWorkshopDto,
  ): Promise<WorkshopDto> {
    await refuseFaults(body);
    return this.transactions.write(context, async (tx) => {
      const workshop = await this.workshops.lock(tx, workshopId);
      if (workshop === null) throw notFound('workshop', workshopId);
      expectRevision(workshop, revision);
      return this.change(tx, context.principal, workshop, body);
    });
  }

  /** Adds or changes workshops by their keys, each on its own, and answers what became of them, in their order. */
  writeBatch(
    tx: Tx,
    principal: Principal,
    rows: readonly Keyed<Omit<CreateWorkshopDto, 'weeklyHours'> & Partial<CreateWorkshopDto>>[],
  ): Promise<BulkResult[]> {
    return upsertEach(rows, {
      find: (externalKey) => this.workshops.lockByExternalKey(tx, externalKey),
      add: async ({ weeklyHours, ...row }) => {
        if (weeklyHours === undefined) throw hoursMissing();
        await refuseFaults({ ...row, weeklyHours });
        return this.add(tx, principal, { ...row, weeklyHours });
      },
      change: async (workshop, row) => {
        await refuseFaults(row);
        return this.change(tx, principal, workshop, row);
      },
    });
  }

  findByExternalKeys(tx: Tx, externalKeys: readonly string[]): Promise<Workshop[]> {
    return this.workshops.findByExternalKeys(tx, externalKeys);
  }

  private async add(tx: Tx, principal: Principal, body: CreateWorkshopDto): Promise<WorkshopDto> {
    const workshop = await onConstraint(
      () =>
        this.workshops.create(tx, {
          organisationId: principal.organisationId,
          externalKey: body.externalKey ?? null,
          name: body.name,
          zone: body.zone,
          weeklyHours: weeklyWindowsOf(body.weeklyHours),
          holidayRegion: body.holidayRegion ?? null,
          dayExceptions: dayExceptionsOf(body.dayExceptions ?? []),
          vehicleStay: body.vehicleStay ?? 'over-breaks',
          minutesBefore: body.minutesBefore ?? 0,
          minutesAfter: body.minutesAfter ?? 0,
          gridMinutes: body.gridMinutes ?? DEFAULT_GRID_MINUTES,
          signOffCompetence: body.signOffCompetence ?? null,
        }),
      { workshops_external_key_key: () => workshopKeyTaken(body.externalKey) },
    );
    const after = toWorkshopDto(workshop);
    await this.audit.record(tx, principal, {
      action: 'created',
      subjectType: 'workshop',
      subjectId: workshop.id,
      workshopId: workshop.id,
      after,
    });
    return after;
  }

  private async change(
    tx: Tx,
    principal: Principal,
    workshop: Workshop,
    body: UpdateWorkshopDto,
  ): Promise<WorkshopDto> {
    const before = toWorkshopDto(workshop);
    const { weeklyHours, dayExceptions, ...rest } = body;
    Object.assign(workshop, definedOf(rest));
    if (weeklyHours !== undefined) workshop.weeklyHours = weeklyWindowsOf(weeklyHours);
    if (dayExceptions !== undefined) workshop.dayExceptions = dayExceptionsOf(dayExceptions);
    if (isDeepStrictEqual(toWorkshopDto(workshop), before)) return before;
    workshop.revision += 1;
    const after = toWorkshopDto(
      await onConstraint(() => this.workshops.save(tx, workshop), {
        workshops_external_key_key: () => workshopKeyTaken(body.externalKey),
      }),
    );
    await this.audit.record(tx, principal, {
      action: 'changed',
      subjectType: 'workshop',
      subjectId: workshop.id,
      workshopId: workshop.id,
      before,
      after,
    });
    return after;
  }

  /** When a workshop is open, day by day, and why it is not. */
  opening(
    { principal }: RequestContext,
    workshopId: string,
    { fromOn, untilOn }: WorkshopOpeningQueryDto,
  ): Promise<WorkshopOpeningDto> {
    if (untilOn <= fromOn || untilOn > addDays(fromOn, MOST_DAYS_SHOWN)) {
      throw openingRangeRefused(MOST_DAYS_SHOWN);
    }
    return this.transactions.read(principal, async (tx) => {
      const workshop = await this.require(tx, workshopId);
      const range = {
        startsAt: Date.parse(fromOn) - MS_PER_DAY,
        endsAt: Date.parse(untilOn) + 2 * MS_PER_DAY,
      };
      const holidays = await this.diaries.holidaysOf(workshop, range);
      const days: OpenDayDto[] = [];
      const pattern = openingOf(workshop, [...holidays.keys()], range);
      const open = periodsOf(openIntervals(pattern, range.startsAt, range.endsAt));
      for (let on = fromOn; on < untilOn; on = addDays(on, 1)) {
        const windows = open.filter(({ startsAt }) => localDateAt(startsAt, workshop.zone) === on);
        days.push({
          on,
          windows: windows.map(({ startsAt, endsAt }) => ({
            startsAt: new Date(startsAt).toISOString(),
            endsAt: new Date(endsAt).toISOString(),
          })),
          ...reasonOf(workshop, holidays, on),
        });
      }
      return { workshopId, zone: workshop.zone, days };
    });
  }

  async holidayRegions(): Promise<HolidayRegionsDto> {
    return { items: await holidayRegions() };
  }

  async require(tx: Tx, workshopId: string): Promise<Workshop> {
    const workshop = await this.workshops.find(tx, workshopId);
    if (workshop === null) throw notFound('workshop', workshopId);
    return workshop;
  }

  /** Those of some ids that are workshops which the caller sees. */
  existingIds(tx: Tx, ids: readonly string[]): Promise<Set<string>> {
    return this.workshops.existingIds(tx, ids);
  }
}

async function refuseFaults(body: UpdateWorkshopDto): Promise<void> {
  const faults: FieldError[] = [
    ...weeklyFaults(body.weeklyHours ?? [], '#/weeklyHours'),
    ...dayExceptionFaults(body.dayExceptions ?? [], '#/dayExceptions'),
  ];
  const { gridMinutes, holidayRegion } = body;
  if (gridMinutes !== undefined && 1440 % gridMinutes !== 0) faults.push(gridNotDividing(gridMinutes));
  if (typeof holidayRegion === 'string') {
    const regions = await holidayRegions();
    if (!regions.some(({ code }) => code === holidayRegion)) faults.push(unknownRegion(holidayRegion));
  }
  if (faults.length > 0) throw refusedHours(faults);
}

function reasonOf(
  { dayExceptions }: Workshop,
  holidays: ReadonlyMap<CalendarDate, string>,
  on: CalendarDate,
): Pick<OpenDayDto, 'because' | 'note'> {
  const exception = dayExceptions.find(({ fromOn, untilOn }) => fromOn <= on && on < untilOn);
  if (exception !== undefined) return { because: 'exception', note: exception.note };
  const holiday = holidays.get(on);
  return holiday === undefined
    ? { because: 'weekly-hours', note: null }
    : { because: 'public-holiday', note: holiday };
}

function definedOf<T extends object>(values: T): Partial<T> {
  return Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined)) as Partial<T>;
}
