import { createHash } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { changedDates } from '../../core/job-sheet/changed-dates';
import {
  holdingSteps,
  releaseVerdict,
  type ReleaseVerdict,
  type StepOutcome,
} from '../../core/job-sheet/release-verdict';
import { localDateAt } from '../../core/shared/calendar-date';
import { parseInstant } from '../../core/shared/instant';
import { AuditTrail } from '../../platform/audit/audit-trail';
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
import { HoldsService } from '../holds/holds.service';
import { WorkshopDiariesService, type WholeWorkshop } from '../workshops/workshop-diaries.service';
import { toJobSheetDto, type CompletedJobDto, type StepResultDto } from './dto/job-sheet.dto';
import type { CompleteJobSheetDto } from './dto/write-job-sheet.dto';
import type { JobSheetRecord } from './job-sheet-record.entity';
import {
  alreadyCompleted,
  finishedWrong,
  periodFault,
  refusedEntries,
  workNotBegun,
} from './job-sheets.errors';
import { JobSheetsRepository } from './job-sheets.repository';
import { JobSheetsService } from './job-sheets.service';
import { JobResultsService, type PointerOf } from './job-results.service';
import { planResults, type PlannedResults } from './plan-results';
import { signerOf } from './sign-off';
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
    private readonly results: JobResultsService,
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
    const signer = signerOf(whole, record.sheet.signOffCompetences, body.signedOffBy, finishedAt);
    const workPeriods = periodsOf(body, booking, whole, finishedAt);
    if (booking.state !== 'in-work') throw workNotBegun(booking.state);

    const place = await this.places.require(tx, record.vehicleId);
    const fitted = await this.sheets.fittedUnits(tx, record.vehicleId);
    const pointerOf = pointersInto(body);
    const results = planResults(record.sheet, record.entries, {
      vehicleId: record.vehicleId,
      arrivedAt: (booking.arrivedAt ?? booking.startsAt).toISOString(),
      finishedAt: finishedAt.toISOString(),
      finishedOn: localDateAt(finishedAt.getTime(), place.zone),
      doneBy: signer.name,
      keyPrefix: keyPrefixOf(record.id),
      fittedUnitIds: new Map(fitted.map(({ position, unitId }) => [position, unitId])),
      pointerOf,
    });

    const owedBefore = await this.owed(tx, record.vehicleId);
    const { warnings, idOf } = await this.results.record(tx, principal, results, {
      vehicleId: record.vehicleId,
      finishedAt,
      by: signer.name,
      pointerOf,
    });
    await this.dueItems.recompute(tx, principal, [record.vehicleId]);

    const stepResults = await this.stepResults(tx, record, results, idOf);
    const { decision, reasons } = await this.decide(tx, principal, record, {
      results: stepResults,
      idOf,
      asked: body.holdBecause ?? null,
    });
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
    const { id: subjectId, vehicleId, workshopId } = record;
    await this.audit.record(tx, principal, {
      action: 'completed',
      subjectType: 'job-sheet',
      subjectId,
      vehicleId,
      workshopId,
      before,
      after,
    });
    return answer;
  }

  private async stepResults(
    tx: Tx,
    { sheet, entries }: JobSheetRecord,
    { notDone }: PlannedResults,
    idOf: ReadonlyMap<string, string>,
  ): Promise<StepResultDto[]> {
    const judged = new Map((await this.sheets.outcomes(tx, [...idOf.values()])).map((row) => [row.id, row]));
    const left = new Map(notDone.map(({ step, reason }) => [step.key, reason]));
    return sheet.steps.map(({ key, title }) => {
      const reason = left.get(key);
      if (reason !== undefined) return { key, title, outcome: 'not-done' as const, reasons: [reason] };
      const test = judged.get(idOf.get(key) ?? '');
      if (test !== undefined)
        return { key, title, outcome: test.outcome, reasons: sentencesOf(test.reasons) };
      const outcome = entries.find((entry) => entry.key === key)?.outcome === 'failed' ? 'failed' : 'done';
      return { key, title, outcome, reasons: [] };
    });
  }

  // What the verdict holds the vehicle for must outlast the job, and whatever else holds it now. A test that failed does
  // by its record, until it is passed; for everything else a hold is placed.
  private async decide(
    tx: Tx,
    principal: Principal,
    { sheet, vehicleId, fleetId }: JobSheetRecord,
    { results, idOf, asked }: Results,
  ): Promise<ReleaseVerdict> {
    const outcomes = new Map<string, StepOutcome>(results.map(({ key, outcome }) => [key, outcome]));
    const [hold] = await this.holdStatus.statusOf(tx, [vehicleId]);
    const standing = (hold?.status.reasons ?? []).filter(({ overriddenBy }) => overriddenBy === null);
    const held = new Set(standing.map(({ key }) => key));
    const unrecorded = holdingSteps(sheet, outcomes)
      .filter(({ key }) => !held.has(`failed-test:${idOf.get(key) ?? ''}`))
      .map(({ sentence }) => sentence);
    const reasons = asked === null ? unrecorded : [...unrecorded, asked];
    if (reasons.length > 0) {
      await this.holds.placeIn(tx, principal, { vehicleId, fleetId, reason: reasons.join(' ') });
    }
    return releaseVerdict(
      sheet,
      outcomes,
      standing.map(({ sentence }) => sentence),
      asked,
    );
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

interface Results {
  results: readonly StepResultDto[];
  /** ids of what was recorded, by the key of the step */
  idOf: ReadonlyMap<string, string>;
  /** a person's reason to hold the vehicle */
  asked: string | null;
}

interface Job {
  record: JobSheetRecord;
  booking: Booking;
  body: CompleteJobSheetDto;
  fingerprint: string;
}

// entries that were saved before are not in the request: then only their key can be named
function pointersInto({ entries }: CompleteJobSheetDto): PointerOf {
  const places = new Map((entries ?? []).map(({ key }, place) => [key, place]));
  return (key, field) => {
    const place = places.get(key);
    return place === undefined ? '#/entries' : `#/entries/${place}/${field}`;
  };
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
    const twice = periods
      .slice(0, place)
      .some(
        (other) => other.technicianId === technicianId && other.startsAt < endsAt && startsAt < other.endsAt,
      );
    if (twice) return [periodFault(place, 'The same person works in another period at that time.')];
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
