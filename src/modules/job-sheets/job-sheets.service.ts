import { Injectable } from '@nestjs/common';
import { jobSheetOf, type SheetWork } from '../../core/job-sheet/job-sheet-of';
import type { JobSheet, SheetUnit } from '../../core/job-sheet/job-sheet';
import { UNVERIFIED_LAYOUT } from '../../core/hydraulics/hydraulic-layout';
import type { TestLimits } from '../../core/due/test-limits';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import type { Booking } from '../bookings/booking.entity';
import { BookingsService } from '../bookings/bookings.service';
import { DueItemsService } from '../due-items/due-items.service';
import { UnitRecordsService } from '../due-items/unit-records.service';
import { GaugesService } from '../gauges/gauges.service';
import { WorkshopDiariesService } from '../workshops/workshop-diaries.service';
import { entered, exchangesUnit, keyFaults } from './entered-results';
import type { ListJobSheetsQueryDto } from './dto/job-sheet-params.dto';
import { toJobSheetDto, type JobSheetDto } from './dto/job-sheet.dto';
import type { UpdateJobSheetDto } from './dto/write-job-sheet.dto';
import type { JobSheetRecord } from './job-sheet-record.entity';
import { alreadyCompleted, noSheetFor, noSuchGauge, refusedEntries, sheetThere } from './job-sheets.errors';
import { JobSheetsRepository, type FittedUnitRow } from './job-sheets.repository';
import { printJobSheet } from './print-job-sheet';

/** Common practice, no published source: a unit below 80 % of nominal is recharged. */
const USUAL_LOWEST_SHARE = 0.8;

@Injectable()
export class JobSheetsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly sheets: JobSheetsRepository,
    private readonly bookings: BookingsService,
    private readonly workshops: WorkshopDiariesService,
    private readonly dueItems: DueItemsService,
    private readonly unitRecords: UnitRecordsService,
    private readonly gauges: GaugesService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list({ principal }: RequestContext, query: ListJobSheetsQueryDto): Promise<Page<JobSheetDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'job-sheets', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const seen = after === null ? null : String(after[0]);
      const rows = await this.sheets.list(tx, filter, seen, limit);
      return this.cursors.page(rows, limit, bound, (row) => [row.id], toJobSheetDto);
    });
  }

  get({ principal }: RequestContext, jobSheetId: string): Promise<JobSheetDto> {
    return this.transactions.read(principal, async (tx) => toJobSheetDto(await this.require(tx, jobSheetId)));
  }

  /** The sheet as a page to print and to write on. */
  print({ principal }: RequestContext, jobSheetId: string): Promise<string> {
    return this.transactions.read(principal, async (tx) => {
      const record = await this.require(tx, jobSheetId);
      const booking = await this.bookings.require(tx, record.bookingId);
      const [whole] = await this.workshops.whole(tx, [record.workshopId]);
      const [row] = await this.dueItems.stored(tx, [record.vehicleId]);
      return printJobSheet({
        sheet: record.sheet,
        registrationMark: row?.registrationMark ?? '',
        fleetNumber: row?.fleetNumber ?? null,
        workshop: whole?.workshop.name ?? '',
        zone: whole?.workshop.zone ?? 'UTC',
        bay: whole?.bays.find(({ id }) => id === booking.bayId)?.name ?? '',
        technicians: (whole?.technicians ?? [])
          .filter(({ id }) => booking.technicianIds.includes(id))
          .map(({ name }) => name),
        startsAt: booking.startsAt.getTime(),
        endsAt: booking.endsAt.getTime(),
        note: booking.note,
      });
    });
  }

  create(context: RequestContext, bookingId: string): Promise<JobSheetDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const booking = await this.bookings.lock(tx, await this.bookings.require(tx, bookingId));
      if (!['confirmed', 'arrived', 'in-work'].includes(booking.state)) throw noSheetFor(booking.state);
      const known = await this.sheets.findOfBooking(tx, bookingId);
      if (known !== null) throw sheetThere(known.id);
      const { organisationId, fleetId, vehicleId, workshopId } = booking;
      const sheet = await this.sheetOf(tx, booking, false);
      const record = await this.sheets.create(tx, {
        organisationId,
        bookingId,
        fleetId,
        vehicleId,
        workshopId,
        sheet,
      });
      const after = toJobSheetDto(record);
      await this.record(tx, principal, 'created', record, { after });
      return after;
    });
  }

  /** Makes the sheet anew from what is recorded now; entries of steps that are still on it stay. */
  renew(context: RequestContext, jobSheetId: string, revision: number): Promise<JobSheetDto> {
    return this.change(context, jobSheetId, revision, 'made-anew', async (tx, record) => {
      const booking = await this.bookings.require(tx, record.bookingId);
      record.sheet = await this.sheetOf(tx, booking, exchangesUnit(record.sheet, record.entries));
      const keys = new Set(record.sheet.steps.map(({ key }) => key));
      record.entries = record.entries.filter(({ key }) => keys.has(key));
    });
  }

  /** Saves what was entered so far; it is recorded on the vehicle when the job is completed. */
  update(
    context: RequestContext,
    jobSheetId: string,
    revision: number,
    body: UpdateJobSheetDto,
  ): Promise<JobSheetDto> {
    return this.change(context, jobSheetId, revision, 'changed', (tx, record) =>
      this.enter(tx, record, body),
    );
  }

  /**
   * Puts what was entered into a sheet: an entry replaces that of the same step. A unit that is exchanged brings the
   * checks before release onto the sheet.
   *
   * @throws CodedError naming a step or a gauge that is not there
   */
  async enter(tx: Tx, record: JobSheetRecord, body: UpdateJobSheetDto): Promise<void> {
    const hasChecks = record.sheet.steps.some(({ beforeRelease }) => beforeRelease);
    if (!hasChecks && exchangesUnit(record.sheet, body.entries ?? [])) {
      record.sheet = await this.sheetOf(tx, await this.bookings.require(tx, record.bookingId), true);
    }
    const gaugeIds = (body.entries ?? []).map(({ gaugeId }) => gaugeId ?? null);
    const gauges = await this.gauges.findByIds(
      tx,
      gaugeIds.flatMap((id) => id ?? []),
    );
    const unknown = gaugeIds.flatMap((id, place) =>
      id === null || gauges.has(id) ? [] : [noSuchGauge(place, id)],
    );
    const faults = [...keyFaults(record, body), ...unknown];
    if (faults.length > 0) throw refusedEntries(faults);
    entered(record, body);
  }

  async require(tx: Tx, jobSheetId: string): Promise<JobSheetRecord> {
    const record = await this.sheets.find(tx, jobSheetId);
    if (record === null) throw notFound('job sheet', jobSheetId);
    return record;
  }

  private change(
    context: RequestContext,
    jobSheetId: string,
    revision: number,
    action: ActionOn<'job-sheet'>,
    apply: (tx: Tx, record: JobSheetRecord) => Promise<void> | void,
  ): Promise<JobSheetDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const record = await this.sheets.lock(tx, jobSheetId);
      if (record === null) throw notFound('job sheet', jobSheetId);
      expectRevision(record, revision);
      if (record.state === 'completed') throw alreadyCompleted();
      const before = toJobSheetDto(record);
      await apply(tx, record);
      record.revision += 1;
      const after = toJobSheetDto(await this.sheets.save(tx, record));
      await this.record(tx, principal, action, record, { before, after });
      return after;
    });
  }

  private async sheetOf(
    tx: Tx,
    { vehicleId, fleetId, work }: Booking,
    unitExchanged: boolean,
  ): Promise<JobSheet> {
    const [recorded, fitted, rows] = await Promise.all([
      this.sheets.layoutOf(tx, vehicleId),
      this.sheets.fittedUnits(tx, vehicleId),
      this.dueItems.stored(tx, [vehicleId]),
    ]);
    const owed = new Map(
      rows.flatMap(({ details }) => (details === null ? [] : [[details.key, details] as const])),
    );
    const stands = work.items.filter(({ dueItemKey, cycle }) => owed.get(dueItemKey)?.cycle === cycle);
    const booked: SheetWork[] = [
      ...stands.map((item) => ({ ...item, doBefore: owed.get(item.dueItemKey)?.doBefore ?? [] })),
      ...work.extra.map((extra) => ({
        ...extra,
        dueItemKey: null,
        cycle: null,
        task: null,
        position: null,
        consumables: [],
        safetyCritical: false,
        doBefore: [],
      })),
    ];
    const limits = await this.limitsOf(tx, vehicleId);
    const sheet = jobSheetOf({
      work: booked,
      layout: recorded?.layout ?? UNVERIFIED_LAYOUT,
      evidence: recorded?.evidence ?? {},
      units: await this.unitsOf(tx, { vehicleId, fleetId }, fitted, limits('precharge-test')),
      limitsOf: limits,
      unitExchanged,
    });
    const settled = work.items
      .filter((item) => !stands.includes(item))
      .map(({ title, task }) => ({
        title,
        task,
        because: 'It was done, or is owed no more, since it was booked.',
      }));
    return { ...sheet, leftOut: [...settled, ...sheet.leftOut] };
  }

  // what tests are judged by is the same for every task that the sheet may ask for, so all of it is looked up first
  private async limitsOf(tx: Tx, vehicleId: string): Promise<(task: string) => TestLimits> {
    const byTask = new Map<string, TestLimits>();
    for (const task of TESTED_TASKS)
      byTask.set(task, await this.unitRecords.testLimitsOf(tx, vehicleId, task));
    return (task) => byTask.get(task) ?? (byTask.get('precharge-test') as TestLimits);
  }

  private async unitsOf(
    tx: Tx,
    { vehicleId, fleetId }: Pick<Booking, 'vehicleId' | 'fleetId'>,
    fitted: readonly FittedUnitRow[],
    { lowestPrechargeShare }: TestLimits,
  ): Promise<Map<string, SheetUnit>> {
    const units = new Map<string, SheetUnit>();
    for (const { position, typeCode, ...unit } of fitted) {
      const { nominal20BarGauge } = unit;
      const judged = { fleetId, vehicleId, position, typeCode, nominal20BarGauge };
      const byRule = await this.unitRecords.prechargeLimitOf(tx, judged);
      const limit20BarGauge =
        byRule?.limit20BarGauge ?? (lowestPrechargeShare ?? USUAL_LOWEST_SHARE) * nominal20BarGauge;
      units.set(position, { ...unit, limit20BarGauge });
    }
    return units;
  }

  private record(
    tx: Tx,
    principal: Principal,
    action: ActionOn<'job-sheet'>,
    { id: subjectId, vehicleId, workshopId }: JobSheetRecord,
    change: { before?: JobSheetDto; after: JobSheetDto },
  ): Promise<void> {
    return this.audit.record(tx, principal, {
      action,
      subjectType: 'job-sheet',
      subjectId,
      vehicleId,
      workshopId,
      ...change,
    });
  }
}

const TESTED_TASKS = [
  'precharge-test',
  'regulator-cycle-test',
  'cut-in-cut-out-reading',
  'low-pressure-warning-test',
  'anti-sink-hold-test',
  'brake-reserve-test',
  'steering-regulator-check',
];
