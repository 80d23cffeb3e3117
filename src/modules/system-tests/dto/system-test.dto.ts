import { ApiProperty } from '@nestjs/swagger';
import { TEST_OUTCOMES, type TestOutcome } from '../../../core/hydraulics/judge-findings';
import { measuredOf, SYSTEM_TEST_TASKS, type SystemTestTask } from '../../../core/tests/system-test';
import type { SystemTest } from '../system-test.entity';

/** What was measured: the fields that belong to the task. */
export class MeasuredDto {
  chargeSeconds?: number;
  idleSeconds?: number;
  pumpDeliveryLPerMin?: number;
  gasTemperatureC?: number;
  cutInBarGauge?: number;
  cutOutBarGauge?: number;
  warningBarGauge?: number;
  cameOn?: boolean;
  hours?: number;
  frontLossMm?: number;
  rearLossMm?: number;
  applicationsUntilWarning?: number;
  startBarGauge?: number;
  @ApiProperty({ required: false, enum: ['passed', 'failed'] })
  result?: 'passed' | 'failed';
}

/** A test of a vehicle's hydraulic system as a whole. */
export class SystemTestDto {
  id!: string;
  vehicleId!: string;
  /** The task of the service programme that it is. */
  @ApiProperty({ enum: SYSTEM_TEST_TASKS })
  task!: SystemTestTask;
  @ApiProperty({ format: 'date-time' })
  doneAt!: string;
  measured!: MeasuredDto;
  /** What it was judged by, as the service programme said on the day of recording; null where it said nothing. */
  @ApiProperty({ type: 'object', additionalProperties: { type: 'number', nullable: true } })
  limits!: Record<string, number | null>;
  /** `passed` settles what is due; `failed` is owed again at once; `inconclusive` changes nothing. */
  @ApiProperty({ enum: TEST_OUTCOMES })
  outcome!: TestOutcome;
  /** Every reason with its numbers, in sentences. */
  outcomeReasons!: string[];
  /**
   * What follows from the figures. Of a regulator cycle test: interval, share of the time that the pump charges,
   * verdict (healthy, gas-loss, system-leakage, both, cannot-be-told), leak, usable volume, precharge at 20 °C, and
   * what it was reckoned with. Of a hold test: what each end sinks in an hour.
   */
  @ApiProperty({ type: 'object', additionalProperties: true })
  findings!: object;
  ambientTemperatureC!: number | null;
  altitudeM!: number | null;
  gaugeId!: string | null;
  /** The calibration of the gauge was overdue; null without a gauge, or without a day on which it is due. */
  gaugeOverdue!: boolean | null;
  doneBy!: string;
  note!: string | null;
  /** The operator's own key. */
  externalKey!: string | null;
  @ApiProperty({ format: 'date-time' })
  recordedAt!: string;
  /** Since then it counts no more. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  voidedAt!: string | null;
  voidedBy!: string | null;
  voidReason!: string | null;
  revision!: number;
}

export class SystemTestPageDto {
  items!: SystemTestDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** A due item that the test settled. */
export class ClearedByTestDto {
  key!: string;
  task!: string;
  title!: string;
  position!: string | null;
  /** When it was due; null where that could not be told. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnBefore!: string | null;
  /** When it is due again; null where nothing more is owed or no date can be told. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOnAfter!: string | null;
  /** False where the test settled it for good. */
  comesBack!: boolean;
}

/** A due item that the test brought about: the test itself where it failed, or a check after it. */
export class RaisedByTestDto {
  key!: string;
  task!: string;
  title!: string;
  position!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOn!: string | null;
}

/** A warning to be shown with the test. */
export class TestCautionDto {
  /** @example no-pressure-no-brakes */
  code!: string;
  text!: string;
}

/** Whether the vehicle may be released to the road, after the test. */
export class HoldAfterTestDto {
  onHold!: boolean;
  /** Why not, in sentences. */
  reasons!: string[];
}

export class RecordedSystemTestDto extends SystemTestDto {
  @ApiProperty({ type: [ClearedByTestDto] })
  clears!: ClearedByTestDto[];
  @ApiProperty({ type: [RaisedByTestDto] })
  raises!: RaisedByTestDto[];
  @ApiProperty({ type: [TestCautionDto] })
  cautions!: TestCautionDto[];
  hold!: HoldAfterTestDto;
}

export function toSystemTestDto(test: SystemTest): SystemTestDto {
  return {
    id: test.id,
    vehicleId: test.vehicleId,
    task: test.task as SystemTestTask,
    doneAt: test.doneAt.toISOString(),
    // in the order of the contract, whatever the order in which the database keeps them
    measured: measuredOf(test.measured),
    limits: test.limits as Record<string, number | null>,
    outcome: test.outcome,
    outcomeReasons: test.outcomeReasons,
    findings: test.findings,
    ambientTemperatureC: test.ambientTemperatureC,
    altitudeM: test.altitudeM,
    gaugeId: test.gaugeId,
    gaugeOverdue: test.gaugeOverdue,
    doneBy: test.doneBy,
    note: test.note,
    externalKey: test.externalKey,
    recordedAt: test.recordedAt.toISOString(),
    voidedAt: test.voidedAt?.toISOString() ?? null,
    voidedBy: test.voidedBy,
    voidReason: test.voidReason,
    revision: test.revision,
  };
}
