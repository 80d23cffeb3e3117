import { Injectable } from '@nestjs/common';
import { v7 as uuidv7 } from 'uuid';
import { AuditTrail, type AuditRecord } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import { recordsToCreate, resultsOf } from '../../platform/bulk/planned-row';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { bodyError, notFound, type FieldError } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService, type Standing } from '../due-items/due-items.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import type { ListReadingsQueryDto, ListVehicleReadingsQueryDto } from './dto/odometer-reading-query.dto';
import {
  toFleetOdometerReadingDto,
  toOdometerReadingDto,
  type DecidedReadingDto,
  type FleetOdometerReadingDto,
  type OdometerReadingDto,
} from './dto/odometer-reading.dto';
import type { CreateOdometerReadingDto, DecideReadingDto } from './dto/write-odometer-reading.dto';
import { judgeReplacements, type ReplacementCandidate } from './judge-replacements';
import { findingsOf, MeterJudge } from './meter-judge';
import type { OdometerReading } from './odometer-reading.entity';
import {
  cannotBeAccepted,
  decidedAlready,
  IMPOSSIBLE,
  readingOnFile,
  readingRefused,
} from './odometer-readings.errors';
import { OdometerReadingsRepository } from './odometer-readings.repository';
import { planReadings, type NewReading, type StampedReading } from './plan-readings';
import {
  vehicleHistoryOf,
  type Meter,
  type OdometerReadingRow,
  type VehicleHistory,
} from './vehicle-history';

@Injectable()
export class OdometerReadingsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly readings: OdometerReadingsRepository,
    private readonly places: VehiclePlacesService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  listOfVehicle(
    { principal }: RequestContext,
    vehicleId: string,
    { limit = 50, cursor, ...filter }: ListVehicleReadingsQueryDto,
  ): Promise<Page<OdometerReadingDto>> {
    const { organisationId } = principal;
    const bound = { list: 'odometer-readings of a vehicle', organisationId, vehicleId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      const seen = after === null ? null : { readAt: String(after[0]), id: String(after[1]) };
      const rows = await this.readings.listOfVehicle(tx, vehicleId, filter, seen, limit);
      const keyOf = ({ readAt, id }: OdometerReading): unknown[] => [readAt.toISOString(), id];
      return this.cursors.page(rows, limit, bound, keyOf, toOdometerReadingDto);
    });
  }

  list(
    { principal }: RequestContext,
    { limit = 50, cursor, ...filter }: ListReadingsQueryDto,
  ): Promise<Page<FleetOdometerReadingDto>> {
    const bound = { list: 'odometer-readings', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.readings.list(tx, filter, after === null ? null : String(after[0]), limit);
      return this.cursors.page(rows, limit, bound, ({ id }) => [id], toFleetOdometerReadingDto);
    });
  }

  get({ principal }: RequestContext, readingId: string): Promise<OdometerReadingDto> {
    return this.transactions.read(principal, async (tx) =>
      toOdometerReadingDto(await this.require(tx, readingId)),
    );
  }

  create(
    context: RequestContext,
    vehicleId: string,
    body: CreateOdometerReadingDto,
  ): Promise<OdometerReadingDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const row = { ...body, vehicleId };
      // sent together, and worked through in this order: what follows is computed from what the lock protects
      const [, onFile, standing] = await Promise.all([
        this.dueItems.lockVehicles(tx, [vehicleId]),
        this.readings.onFile(tx, [vehicleId], [row]),
        this.dueItems.standing(tx, [vehicleId]),
      ]);
      if (standing.records.length === 0) throw notFound('vehicle', vehicleId);
      const histories = standing.records.map((one) => vehicleHistoryOf(one, standing.usageModels));
      const [planned] = planReadings([row], histories, onFile, this.clock.now());
      if (planned === undefined) throw new Error('a reading was planned without an answer');
      if (planned.outcome === 'rejected') {
        const [error] = planned.errors;
        if (error === undefined) throw new Error('a reading was refused without a reason');
        const sameKey = onFile.find(({ externalKey }) => externalKey === body.externalKey);
        throw readingRefused(error, sameKey?.id ?? null);
      }
      const [reading] = recordsToCreate([planned]);
      if (reading === undefined) throw readingOnFile('id' in planned.record ? planned.record.id : null);
      const [answer] = await Promise.all([
        this.add(tx, principal, reading),
        reading.state === 'accepted'
          ? this.dueItems.recomputeFrom(tx, principal, standing, [reading])
          : Promise.resolve(),
      ]);
      return answer;
    });
  }

  decide(
    context: RequestContext,
    readingId: string,
    revision: number,
    body: DecideReadingDto,
  ): Promise<DecidedReadingDto> {
    const { principal } = context;
    const { decision, value, note } = body;
    if ((decision === 'accept-corrected') !== (value !== undefined)) {
      throw bodyError(
        '#/value',
        decision === 'accept-corrected'
          ? 'A correction needs the right value.'
          : `${decision} takes no value.`,
        'give a value with accept-corrected, and only then',
      );
    }
    return this.transactions.write(context, async (tx) => {
      const { vehicleId } = await this.require(tx, readingId);
      await this.dueItems.lockVehicles(tx, [vehicleId]);
      const reading = await this.require(tx, readingId);
      expectRevision(reading, revision);
      const mayReject = reading.state === 'accepted' && reading.decidedAt === null && decision === 'reject';
      if (reading.state !== 'quarantined' && !mayReject) throw decidedAlready(reading);

      const before = toOdometerReadingDto(reading);
      if (decision === 'accept') await this.expectPossible(tx, reading, reading.value, '#/decision');
      const now = new Date(this.clock.now());
      const correctedReading =
        value === undefined ? null : await this.addCorrected(tx, principal, reading, value, note, now);
      reading.state = decision === 'accept' ? 'accepted' : 'rejected';
      reading.decidedBy = principal.actor;
      reading.decidedAt = now;
      reading.decisionNote =
        correctedReading === null
          ? note
          : `${note} (accepted as ${correctedReading.value} ${correctedReading.unit}: reading ${correctedReading.id})`;
      reading.revision += 1;
      const after = toOdometerReadingDto(await this.readings.save(tx, reading));
      await this.dueItems.recompute(tx, principal, [vehicleId]);
      await this.audit.record(tx, principal, { ...subject(DECIDED[decision], after), before, after });
      return { ...after, correctedReading };
    });
  }

  /**
   * Records many at once, each judged against what is accepted so far, the rows before it included. Results
   * are in the order of the rows. The vehicles are locked, and recomputed, by the caller.
   */
  async writeBatch(tx: Tx, principal: Principal, rows: OdometerReadingRow[]): Promise<BulkResult[]> {
    const known = await this.dueItems.recordsOf(tx, vehicleIdsOf(rows));
    return (await this.record(tx, principal, rows, known)).results;
  }

  /** The same, and computes the vehicles' due items again, from the very records that it judged by. */
  async writeAndRecompute(tx: Tx, principal: Principal, rows: OdometerReadingRow[]): Promise<BulkResult[]> {
    const standing = await this.dueItems.standing(tx, vehicleIdsOf(rows));
    const { results, accepted } = await this.record(tx, principal, rows, standing);
    const moved = new Set(vehicleIdsOf(accepted));
    const isMoved = ({ vehicleId }: { vehicleId: string }): boolean => moved.has(vehicleId);
    const { records, stored, usageModels } = standing;
    const concerned = { records: records.filter(isMoved), stored: stored.filter(isMoved), usageModels };
    await this.dueItems.recomputeFrom(tx, principal, concerned, accepted);
    return results;
  }

  /**
   * The quarantined readings of a meter, from an instant on, that would be accepted if they came in now: each
   * judged as if those before it had been accepted.
   */
  async nowPlausible(tx: Tx, vehicleId: string, meter: Meter, from: Date): Promise<OdometerReadingDto[]> {
    const quarantined = await this.readings.findQuarantined(tx, vehicleId, meter, from);
    if (quarantined.length === 0) return [];
    const judge = new MeterJudge(await this.history(tx, vehicleId), meter, this.clock.now());
    return quarantined
      .filter(({ value, unit, readAt, source }) => {
        const entered = judge.entered({ value, unit, at: readAt.getTime(), source });
        if (judge.judge(entered).verdict === 'quarantined') return false;
        judge.accept(entered);
        return true;
      })
      .map(toOdometerReadingDto);
  }

  /**
   * What stands against replacements of instruments by the accepted readings, in the order of the candidates.
   * Each is held against the replacements on file and against the candidates before it in time.
   */
  async replacementErrors(tx: Tx, candidates: readonly ReplacementCandidate[]): Promise<FieldError[][]> {
    const vehicleIds = [...new Set(candidates.map(({ vehicleId }) => vehicleId))];
    return judgeReplacements(candidates, await this.histories(tx, vehicleIds), this.clock.now());
  }

  /**
   * The accepted reading that would be lower than one before it if there had been no replacement at that
   * instant; null when the readings get along without it.
   */
  async fallWithoutReplacement(
    tx: Tx,
    vehicleId: string,
    meter: Meter,
    replacedAt: Date,
  ): Promise<{ before: string; after: string } | null> {
    const history = await this.history(tx, vehicleId);
    const replacements = history.replacements.filter(
      (each) => each.meter !== meter || each.at !== replacedAt.getTime(),
    );
    return new MeterJudge({ ...history, replacements }, meter, this.clock.now()).firstFall();
  }

  private async record(
    tx: Tx,
    principal: Principal,
    rows: readonly OdometerReadingRow[],
    { records: vehicles, usageModels }: Pick<Standing, 'records' | 'usageModels'>,
  ): Promise<{ results: BulkResult[]; accepted: StampedReading[] }> {
    const onFile = await this.readings.onFile(tx, vehicleIdsOf(rows), rows);
    const histories = vehicles.map((one) => vehicleHistoryOf(one, usageModels));
    const plan = planReadings(rows, histories, onFile, this.clock.now());
    const stamped = new Map(recordsToCreate(plan).map((reading) => [reading, this.stamp(reading)]));
    const created = await this.readings.createMany(tx, principal.organisationId, [...stamped.values()]);
    const ids = new Map<NewReading, string>();
    const records: AuditRecord[] = [];
    const accepted: StampedReading[] = [];
    for (const [reading, stored] of stamped) {
      if (!created.has(stored.id)) continue;
      ids.set(reading, stored.id);
      if (stored.state === 'accepted') accepted.push(stored);
      const after = toOdometerReadingDto(asStored(stored));
      records.push({ ...subject('created', after), after });
    }
    await this.audit.record(tx, principal, records);
    return { results: resultsOf(plan, ids), accepted };
  }

  private async add(tx: Tx, principal: Principal, reading: NewReading): Promise<OdometerReadingDto> {
    const stored = this.stamp(reading);
    const answer = toOdometerReadingDto(asStored(stored));
    const [created] = await Promise.all([
      this.readings.createMany(tx, principal.organisationId, [stored]),
      this.audit.record(tx, principal, { ...subject('created', answer), after: answer }),
    ]);
    // the key is taken by a reading of a fleet that this caller may not see, so there is no id to name
    if (!created.has(stored.id)) throw readingOnFile(null);
    return answer;
  }

  private stamp(reading: NewReading): StampedReading {
    return { ...reading, id: uuidv7(), recordedAt: new Date(this.clock.now()) };
  }

  // The reading stays on file as it was given; what somebody takes it to have been is a reading of its own.
  private async addCorrected(
    tx: Tx,
    principal: Principal,
    original: OdometerReading,
    value: number,
    note: string,
    decidedAt: Date,
  ): Promise<OdometerReadingDto> {
    await this.expectPossible(tx, original, value, '#/value');
    return this.add(tx, principal, {
      vehicleId: original.vehicleId,
      fleetId: original.fleetId,
      meter: original.meter,
      value,
      unit: original.unit,
      at: original.readAt.getTime(),
      source: original.source,
      externalKey: null,
      state: 'accepted',
      suspicions: null,
      suggestedValue: null,
      decidedBy: principal.actor,
      decidedAt,
      decisionNote: `${note} (given as ${original.value} ${original.unit}: reading ${original.id})`,
    });
  }

  private async expectPossible(
    tx: Tx,
    { vehicleId, meter, unit, readAt, source }: OdometerReading,
    value: number,
    pointer: '#/decision' | '#/value',
  ): Promise<void> {
    const judge = new MeterJudge(await this.history(tx, vehicleId), meter, this.clock.now());
    const findings = findingsOf(
      judge.judge(judge.entered({ value, unit, at: readAt.getTime(), source })),
      unit,
    );
    const impossible = (findings.suspicions ?? []).filter(({ code }) => IMPOSSIBLE.has(code));
    if (impossible.length > 0) throw cannotBeAccepted(pointer, impossible);
  }

  private async history(tx: Tx, vehicleId: string): Promise<VehicleHistory> {
    const [history] = await this.histories(tx, [vehicleId]);
    if (history === undefined) throw notFound('vehicle', vehicleId);
    return history;
  }

  private async histories(tx: Tx, vehicleIds: readonly string[]): Promise<VehicleHistory[]> {
    const { records, usageModels } = await this.dueItems.recordsOf(tx, vehicleIds);
    return records.map((one) => vehicleHistoryOf(one, usageModels));
  }

  private async require(tx: Tx, readingId: string): Promise<OdometerReading> {
    const reading = await this.readings.find(tx, readingId);
    if (reading === null) throw notFound('odometer reading', readingId);
    return reading;
  }
}

const vehicleIdsOf = (of: readonly { vehicleId: string }[]): string[] => [
  ...new Set(of.map(({ vehicleId }) => vehicleId)),
];

const DECIDED = {
  accept: 'accepted',
  'accept-corrected': 'corrected',
  reject: 'rejected',
} as const;

function subject(
  action: ActionOn<'odometer-reading'>,
  { id, vehicleId }: Pick<OdometerReadingDto, 'id' | 'vehicleId'>,
): AuditRecord {
  return { action, subjectType: 'odometer-reading', subjectId: id, vehicleId };
}

function asStored({ at, ...reading }: StampedReading): Omit<OdometerReading, 'organisationId'> {
  return {
    decidedBy: null,
    decidedAt: null,
    decisionNote: null,
    ...reading,
    readAt: new Date(at),
    revision: 1,
  };
}
