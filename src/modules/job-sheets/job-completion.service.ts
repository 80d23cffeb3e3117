import { createHash } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { changedDates } from '../../core/job-sheet/changed-dates';
import { releaseVerdict, type StepOutcome } from '../../core/job-sheet/release-verdict';
import { localDateAt } from '../../core/shared/calendar-date';
import { parseInstant } from '../../core/shared/instant';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound, type FieldError } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { BookingStepsService } from '../bookings/booking-steps.service';
import type { Booking, WorkPeriod } from '../bookings/booking.entity';
import { BookingsService } from '../bookings/bookings.service';
import { DueItemsService } from '../due-items/due-items.service';
import { HoldStatusService } from '../due-items/hold-status.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import { GasUnitEventsService } from '../gas-unit-events/gas-unit-events.service';
import { UnitMoverService } from '../gas-units/unit-mover.service';
import { HoldsService } from '../holds/holds.service';
import { HydraulicSystemsService } from '../hydraulic-systems/hydraulic-systems.service';
import { OdometerReadingsService } from '../odometer-readings/odometer-readings.service';
import { SystemTestsService } from '../system-tests/system-tests.service';
import { TaskCompletionsService } from '../task-completions/task-completions.service';
import type { Technician } from '../workshops/technician.entity';
import { WorkshopDiariesService, type WholeWorkshop } from '../workshops/workshop-diaries.service';
import { toJobSheetDto, type CompletedJobDto, type StepResultDto } from './dto/job-sheet.dto';
import type { CompleteJobSheetDto } from './dto/write-job-sheet.dto';
import type { JobSheetRecord } from './job-sheet-record.entity';
import {
  alreadyCompleted,
  finishedWrong,
  noSpareUnit,
  notAtThisWorkshop,
  notCompetent,
  periodFault,
  refusedEntries,
  workNotBegun,
} from './job-sheets.errors';
import { JobSheetsRepository } from './job-sheets.repository';
import { JobSheetsService } from './job-sheets.service';
import { planResults, type Planned, type PlannedExchange, type PlannedResults } from './plan-results';
import { workPeriodsOf } from './work-periods';

/** What is recorded carries the key of its step, so that nothing is recorded twice. */
const keyPrefixOf = (jobSheetId: string): string => `job-sheet:${jobSheetId}`;

/**
 * Completes a job: results, tests, units, odometer, due items, hold, booking, all in one transaction or not at all.
 * The same request again is answered as before and changes nothing.
 */
@Injectable()
export class JobCompletionService {
  constructor(
    private readonly transactions: Transactions,
    private readonly sheets: JobSheetsRepository,
    private readonly service: JobSheetsService,
    private readonly bookings: BookingsService,
    private readonly steps: BookingStepsService,
    private readonly workshops: WorkshopDiariesService,
    private readonly places: VehiclePlacesService,
    private readonly readings: OdometerReadingsService,
    private readonly layouts: HydraulicSystemsService,
    private readonly events: GasUnitEventsService,
    private readonly tests: SystemTestsService,
    private readonly completions: TaskCompletionsService,
    private readonly mover: UnitMoverService,
    private readonly dueItems: DueItemsService,
    private readonly holds: HoldsService,
    private readonly holdStatus: HoldStatusService,
    private readonly audit: AuditTrail,
    private readonly clock: Clock,
  ) {}

  complete(
    context: RequestContext,
    jobSheetId: string,
    revision: number,
    body: CompleteJobSheetDto,
  ): Promise<CompletedJobDto> {
    const { principal } = context;
    const fingerprint = createHash('sha256').update(JSON.stringify(body)).digest('base64');
    return this.transactions.write(context, async (tx) => {
      const seen = await this.service.require(tx, jobSheetId);
      const booking = await this.bookings.lock(tx, { id: seen.bookingId, vehicleId: seen.vehicleId });
      const record = await this.sheets.lock(tx, jobSheetId);
      if (record === null) throw notFound('job sheet', jobSheetId);
      if (record.completion !== null) {
        if (record.completionFingerprint !== fingerprint) throw alreadyCompleted();
        return record.completion as CompletedJobDto;
      }
      expectRevision(record, revision);
      return this.finish(tx, principal, { record, booking, body, fingerprint });
    });
  }

  private async finish(
    tx: Tx,
    principal: Principal,
    { record, booking, body, fingerprint }: Job,
  ): Promise<CompletedJobDto> {
    const before = toJobSheetDto(record);
    await this.service.enter(tx, record, body);
    const [whole] = (await this.workshops.whole(tx, [record.workshopId])) as [WholeWorkshop];
    const finishedAt = this.finishedAt(body.finishedAt, booking);
    const signer = signerOf(whole, record, body.signedOffBy, finishedAt);
    const workPeriods = periodsOf(body, booking, whole, finishedAt);
    if (booking.state !== 'in-work') throw workNotBegun(booking.state);

    const place = await this.places.require(tx, record.vehicleId);
    const keyPrefix = keyPrefixOf(record.id);
    const results = planResults(record.sheet, record.entries, {
      vehicleId: record.vehicleId,
      finishedAt: finishedAt.toISOString(),
      finishedOn: localDateAt(finishedAt.getTime(), place.zone),
      doneBy: signer.name,
      keyPrefix,
    });
    const exchanges = await this.spareUnits(tx, results);
    if (results.faults.length > 0) throw refusedEntries(results.faults);

    const owedBefore = await this.owed(tx, record.vehicleId);
    const warnings = await this.write(tx, principal, results);
    await this.exchange(tx, principal, exchanges, {
      vehicleId: record.vehicleId,
      finishedAt,
      by: signer.name,
    });
    await this.dueItems.recompute(tx, principal, [record.vehicleId]);

    const stepResults = await this.stepResults(tx, record, results, keyPrefix);
    const { decision, reasons } = await this.decide(
      tx,
      principal,
      record,
      stepResults,
      body.holdBecause ?? null,
    );
    const released = decision === 'release';
    const { id, state, ...moments } = await this.steps.finish(tx, principal, booking, {
      finishedAt,
      released,
      workPeriods,
    });
    const answer: CompletedJobDto = {
      jobSheetId: record.id,
      decision: released ? 'released' : 'held',
      reasons,
      booking: {
        id,
        state,
        finishedAt: moments.finishedAt,
        releasedAt: moments.releasedAt,
        revision: moments.revision,
      },
      results: stepResults,
      moved: changedDates(owedBefore, await this.owed(tx, record.vehicleId)),
      warnings,
      cautions: record.sheet.cautions.map(({ code, text }) => ({ code, text })),
      revision: record.revision + 1,
    };
    Object.assign(record, {
      state: 'completed',
      completion: answer,
      completionFingerprint: fingerprint,
      completedAt: finishedAt,
      signedOffBy: signer.id,
      decision: answer.decision,
      revision: answer.revision,
    });
    const after = toJobSheetDto(await this.sheets.save(tx, record));
    const { id: subjectId, vehicleId } = record;
    await this.audit.record(tx, principal, {
      action: 'completed',
      subjectType: 'job-sheet',
      subjectId,
      vehicleId,
      before,
      after,
    });
    return answer;
  }

  private async write(tx: Tx, principal: Principal, results: PlannedResults): Promise<string[]> {
    const { readings, layout, events, tests, completions } = results;
    const rowsOf = <Row>(planned: readonly Planned<Row>[]): Row[] => planned.map(({ row }) => row);
    const faults: FieldError[] = [];
    const warnings: string[] = [];
    const look = (planned: readonly Planned<unknown>[], outcomes: readonly BulkResult[]): void => {
      outcomes.forEach(({ outcome, errors }, index) => {
        const { step, place } = planned[index] as Planned<unknown>;
        if (outcome === 'quarantined')
          warnings.push(
            `${step.title}: the reading is in doubt and waits for somebody to decide; no due date moved by it.`,
          );
        for (const { pointer, detail, remedy } of errors) {
          const field = pointer === undefined ? '' : pointer.replace(/^#/, '');
          faults.push({ pointer: `#/entries/${place}${field}`, detail: `${step.title}: ${detail}`, remedy });
        }
      });
    };
    if (readings.length > 0) look(readings, await this.readings.writeBatch(tx, principal, rowsOf(readings)));
    if (layout.length > 0) look(layout, await this.layouts.writeBatch(tx, principal, rowsOf(layout)));
    if (events.length > 0) look(events, await this.events.writeBatch(tx, principal, rowsOf(events)));
    if (tests.length > 0) look(tests, await this.tests.writeBatch(tx, principal, rowsOf(tests)));
    if (completions.length > 0)
      look(completions, await this.completions.writeBatch(tx, principal, rowsOf(completions)));
    if (faults.length > 0) throw refusedEntries(faults);
    return warnings;
  }

  private async spareUnits(
    tx: Tx,
    results: PlannedResults,
  ): Promise<(PlannedExchange & { unitId: string })[]> {
    const found: (PlannedExchange & { unitId: string })[] = [];
    for (const { place, row } of results.exchanges) {
      const spare = await this.sheets.spareUnits(tx, row.exchange.serialNumber);
      const [only] = spare;
      if (spare.length !== 1 || only === undefined)
        results.faults.push(noSpareUnit(place, row.exchange.serialNumber, spare.length));
      else found.push({ ...row, unitId: only.id });
    }
    return found;
  }

  private async exchange(
    tx: Tx,
    principal: Principal,
    exchanges: readonly (PlannedExchange & { unitId: string })[],
    { vehicleId, finishedAt, by }: { vehicleId: string; finishedAt: Date; by: string },
  ): Promise<void> {
    if (exchanges.length === 0) return;
    const nowhere = { vehicleId: null, position: null, depotId: null, awayWith: null, vehicleTotalKm: null };
    const common = { leavingTotalKm: null, note: null };
    await this.mover.move(tx, principal, {
      at: finishedAt,
      atPointer: '#/finishedAt',
      movedBy: by,
      displaced: null,
      faults: [],
      moves: exchanges.flatMap(({ removedUnitId, unitId, position, exchange }, index) => {
        const pointer = `#/entries/${index}/exchange`;
        return [
          {
            ...common,
            pointer,
            toPointer: pointer,
            unitId: removedUnitId,
            to: { ...nowhere, state: exchange.takenOutTo },
          },
          {
            ...common,
            pointer,
            toPointer: pointer,
            unitId,
            to: { ...nowhere, state: 'fitted' as const, vehicleId, position },
          },
        ];
      }),
    });
  }

  private async stepResults(
    tx: Tx,
    { sheet, entries }: JobSheetRecord,
    { notDone }: PlannedResults,
    keyPrefix: string,
  ): Promise<StepResultDto[]> {
    const judged = new Map(
      (await this.sheets.outcomes(tx, keyPrefix)).map((row) => [
        row.externalKey.slice(keyPrefix.length + 1),
        row,
      ]),
    );
    const left = new Map(notDone.map(({ step, reason }) => [step.key, reason]));
    return sheet.steps.map(({ key, title }) => {
      const reason = left.get(key);
      if (reason !== undefined) return { key, title, outcome: 'not-done' as const, reasons: [reason] };
      const test = judged.get(key);
      if (test !== undefined)
        return { key, title, outcome: test.outcome, reasons: sentencesOf(test.reasons) };
      const outcome = entries.find((entry) => entry.key === key)?.outcome === 'failed' ? 'failed' : 'done';
      return { key, title, outcome, reasons: [] };
    });
  }

  // What the verdict holds the vehicle for must outlast the job: where no record does it, a hold is placed.
  private async decide(
    tx: Tx,
    principal: Principal,
    { sheet, vehicleId, fleetId }: JobSheetRecord,
    results: readonly StepResultDto[],
    asked: string | null,
  ): Promise<ReturnType<typeof releaseVerdict>> {
    const outcomes = new Map<string, StepOutcome>(results.map(({ key, outcome }) => [key, outcome]));
    const standing = await this.standing(tx, vehicleId);
    const verdict = releaseVerdict(sheet, outcomes, standing, asked);
    const unheld = releaseVerdict(sheet, outcomes, [], asked).reasons;
    if (asked !== null || (unheld.length > 0 && standing.length === 0)) {
      await this.holds.placeIn(tx, principal, { vehicleId, fleetId, reason: unheld.join(' ') });
    }
    return verdict;
  }

  private async standing(tx: Tx, vehicleId: string): Promise<string[]> {
    const [hold] = await this.holdStatus.statusOf(tx, [vehicleId]);
    return (hold?.status.reasons ?? [])
      .filter(({ overriddenBy }) => overriddenBy === null)
      .map(({ sentence }) => sentence);
  }

  private async owed(tx: Tx, vehicleId: string) {
    return (await this.dueItems.stored(tx, [vehicleId])).flatMap(({ details }) => details ?? []);
  }

  private finishedAt(text: string | undefined, { workStartedAt }: Booking): Date {
    const nowAt = this.clock.now();
    const at = text === undefined ? nowAt : parseInstant(text, 'finishedAt');
    if (at > nowAt) throw finishedWrong(`${text ?? ''} is still to come.`);
    if (workStartedAt !== null && at <= workStartedAt.getTime())
      throw finishedWrong(`Work began at ${workStartedAt.toISOString()}; it cannot have ended before.`);
    return new Date(at);
  }
}

interface Job {
  record: JobSheetRecord;
  booking: Booking;
  body: CompleteJobSheetDto;
  fingerprint: string;
}

function signerOf(
  { workshop, technicians }: WholeWorkshop,
  { sheet }: JobSheetRecord,
  technicianId: string,
  at: Date,
): Technician {
  const signer = technicians.find(({ id }) => id === technicianId);
  if (signer === undefined) throw notAtThisWorkshop(technicianId);
  const on = localDateAt(at.getTime(), workshop.zone);
  const asked = [
    ...sheet.signOffCompetences,
    ...(workshop.signOffCompetence === null ? [] : [workshop.signOffCompetence]),
  ];
  const lacking = ({ competences }: Technician): string[] =>
    [...new Set(asked)].filter(
      (code) => !competences.some((one) => one.code === code && (one.lastOn === null || one.lastOn >= on)),
    );
  const missing = lacking(signer);
  if (missing.length > 0) {
    const others = technicians.filter((one) => one.retiredOn === null && lacking(one).length === 0);
    throw notCompetent(
      signer.name,
      missing,
      others.map(({ name }) => name),
    );
  }
  return signer;
}

function periodsOf(
  { workPeriods }: CompleteJobSheetDto,
  booking: Booking,
  { technicians }: WholeWorkshop,
  finishedAt: Date,
): WorkPeriod[] {
  const periods = workPeriodsOf(workPeriods ?? null, booking, finishedAt);
  const faults = periods.flatMap(({ technicianId, startsAt, endsAt }, place): FieldError[] => {
    if (!technicians.some(({ id }) => id === technicianId))
      return [periodFault(place, `The workshop has no technician ${technicianId}.`)];
    if (Date.parse(endsAt) <= Date.parse(startsAt))
      return [periodFault(place, `${endsAt} is not after ${startsAt}.`)];
    const isWithin =
      Date.parse(startsAt) >= (booking.workStartedAt?.getTime() ?? 0) &&
      Date.parse(endsAt) <= finishedAt.getTime();
    return isWithin ? [] : [periodFault(place, `${startsAt} to ${endsAt} is not within the work.`)];
  });
  if (faults.length > 0) throw refusedEntries(faults);
  return periods;
}

// judgements are kept as the sentences of their findings
function sentencesOf(reasons: readonly unknown[]): string[] {
  return reasons.map((reason) =>
    typeof reason === 'object' && reason !== null && 'sentence' in reason
      ? String(reason.sentence)
      : String(reason),
  );
}
