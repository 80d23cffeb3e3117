import { ApiProperty } from '@nestjs/swagger';
import type { TestLimits } from '../../../core/due/test-limits';
import type { Consumable } from '../../../core/due/rule';
import {
  STEP_KINDS,
  STEP_REASONS,
  type SheetUnit,
  type StepKind,
  type StepReason,
} from '../../../core/job-sheet/job-sheet';
import { STEP_OUTCOMES, type StepOutcome } from '../../../core/job-sheet/release-verdict';
import { BOOKING_STATES, type BookingState } from '../../../core/booking/booking-state';
import type { JobSheetRecord } from '../job-sheet-record.entity';
import { JOB_SHEET_STATES } from './job-sheet-params.dto';
import { FoundWorkDto, PartUsedDto, StepEntryDto } from './write-job-sheet.dto';

export class SheetUnitDto {
  unitId!: string;
  serialNumber!: string;
  typeName!: string;
  /** With no fluid in it; null on sheets that were made before it was kept. */
  gasVolumeCm3!: number | null;
  /** Nominal precharge at 20 °C. */
  nominal20BarGauge!: number;
  /** Precharge at 20 °C below which it has to be recharged. */
  limit20BarGauge!: number;
}

/** What a system test is judged by; null where the service programme sets nothing. Pressures are gauge pressures. */
export class SheetLimitsDto implements TestLimits {
  /** Share of the nominal precharge below which the main accumulator counts as weak in a stopwatch test. */
  lowestPrechargeShare!: number | null;
  shortestCycleSeconds!: number | null;
  highestLeakMlPerMin!: number | null;
  cutInLowBar!: number | null;
  cutInHighBar!: number | null;
  cutOutLowBar!: number | null;
  cutOutHighBar!: number | null;
  warningLowBar!: number | null;
  warningHighBar!: number | null;
  highestSinkMmPerHour!: number | null;
  warningNotWithinApplications!: number | null;
}

export class SheetStepDto {
  /** Results are entered under it. */
  key!: string;
  @ApiProperty({ enum: STEP_KINDS })
  kind!: StepKind;
  @ApiProperty({ enum: STEP_REASONS })
  why!: StepReason;
  title!: string;
  task!: string | null;
  position!: string | null;
  @ApiProperty({ nullable: true, type: SheetUnitDto })
  unit!: SheetUnitDto | null;
  /** The fact that an inspection is about. */
  fact!: string | null;
  dueItemKey!: string | null;
  cycle!: string | null;
  /** How to do it, what to expect, and the limits. */
  instructions!: string[];
  /** What a system test is judged by; null for other steps, and on sheets that were made before it was kept. */
  @ApiProperty({ nullable: true, type: SheetLimitsDto })
  limits!: SheetLimitsDto | null;
  @ApiProperty({ type: [String] })
  competences!: readonly string[];
  minutes!: number;
  @ApiProperty({ type: [PartUsedDto] })
  consumables!: readonly Consumable[];
  /** A failure holds the vehicle. */
  safetyCritical!: boolean;
  /** The vehicle is held unless it is passed; it comes after the work. */
  beforeRelease!: boolean;
  /** The sheet is not complete without a result, or a reason for having none. */
  required!: boolean;
}

export class LeftOutWorkDto {
  title!: string;
  task!: string | null;
  because!: string;
}

export class SheetCautionDto {
  code!: string;
  text!: string;
}

export class SheetFindingDto {
  code!: string;
  status!: string;
  because!: string;
  remedy!: string;
}

export class StepResultDto {
  key!: string;
  title!: string;
  @ApiProperty({ enum: STEP_OUTCOMES })
  outcome!: StepOutcome;
  /** Why it was not done, or how it was judged. */
  reasons!: string[];
}

/** The sheet of one job: what is to be done on this vehicle, and what came of it. */
export class JobSheetDto {
  id!: string;
  bookingId!: string;
  vehicleId!: string;
  fleetId!: string;
  workshopId!: string;
  @ApiProperty({ enum: JOB_SHEET_STATES })
  state!: 'open' | 'completed';
  cautions!: SheetCautionDto[];
  /** Where the maker's workshop manual rules. */
  manualNotes!: SheetCautionDto[];
  safetyFindings!: SheetFindingDto[];
  steps!: SheetStepDto[];
  /** Work that was booked and is no step. */
  leftOut!: LeftOutWorkDto[];
  /** What the times of the regulator are reckoned with; null where none is recorded. */
  @ApiProperty({ nullable: true, type: SheetUnitDto })
  mainAccumulator!: SheetUnitDto | null;
  /** Whoever signs off has them all. */
  signOffCompetences!: string[];
  @ApiProperty({ type: [PartUsedDto] })
  consumables!: Consumable[];
  minutes!: number;
  /** What was entered so far, in the order of the steps. */
  entries!: StepEntryDto[];
  @ApiProperty({ type: [PartUsedDto] })
  partsUsed!: Consumable[];
  workFound!: FoundWorkDto[];
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  completedAt!: string | null;
  signedOffBy!: string | null;
  @ApiProperty({ enum: ['released', 'held'], nullable: true, type: String })
  decision!: 'released' | 'held' | null;
  /** Why the vehicle was held; empty otherwise. */
  reasons!: string[];
  /** How each step ended; empty while the sheet is open. */
  results!: StepResultDto[];
  revision!: number;
  createdAt!: string;
  updatedAt!: string;
}

export class JobSheetPageDto {
  items!: JobSheetDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export class MovedDueItemDto {
  key!: string;
  title!: string;
  position!: string | null;
  /** Due before the job; null: not owed, or not told. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnBefore!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnAfter!: string | null;
}

/** The booking once its job is completed. */
export class FinishedBookingDto {
  id!: string;
  @ApiProperty({ enum: BOOKING_STATES })
  state!: BookingState;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  finishedAt!: string | null;
  /** When the vehicle could go back to the road; null while it is held. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  releasedAt!: string | null;
  revision!: number;
}

/** What a completed job changed. */
export class CompletedJobDto {
  jobSheetId!: string;
  @ApiProperty({ enum: ['released', 'held'] })
  decision!: 'released' | 'held';
  /** Why the vehicle is held. */
  reasons!: string[];
  booking!: FinishedBookingDto;
  results!: StepResultDto[];
  /** Due items whose date moved. */
  moved!: MovedDueItemDto[];
  warnings!: string[];
  cautions!: SheetCautionDto[];
  revision!: number;
}

// sheets are kept as they were made: those of earlier versions lack what is younger
const kept = <Value>(value: Value | null | undefined): Value | null => value ?? null;
const unitOf = (unit: SheetUnit | null): SheetUnitDto | null =>
  unit === null ? null : { ...unit, gasVolumeCm3: kept(unit.gasVolumeCm3) };

export function toJobSheetDto(record: JobSheetRecord): JobSheetDto {
  const { sheet } = record;
  const completion = record.completion as CompletedJobDto | null;
  const shown = ({ code, text }: SheetCautionDto): SheetCautionDto => ({ code, text });
  return {
    id: record.id,
    bookingId: record.bookingId,
    vehicleId: record.vehicleId,
    fleetId: record.fleetId,
    workshopId: record.workshopId,
    state: record.state,
    cautions: sheet.cautions.map(shown),
    manualNotes: sheet.manualNotes.map(shown),
    safetyFindings: sheet.safetyFindings,
    steps: sheet.steps.map((step) => ({ ...step, unit: unitOf(step.unit), limits: kept(step.limits) })),
    leftOut: sheet.leftOut,
    mainAccumulator: unitOf(kept(sheet.mainAccumulator)),
    signOffCompetences: sheet.signOffCompetences,
    consumables: sheet.consumables,
    minutes: sheet.minutes,
    entries: record.entries as StepEntryDto[],
    partsUsed: record.partsUsed,
    workFound: record.workFound,
    completedAt: record.completedAt === null ? null : record.completedAt.toISOString(),
    signedOffBy: record.signedOffBy,
    decision: record.decision,
    reasons: completion?.reasons ?? [],
    results: completion?.results ?? [],
    revision: record.revision,
    createdAt: record.createdAt.toISOString(),
    updatedAt: record.updatedAt.toISOString(),
  };
}
