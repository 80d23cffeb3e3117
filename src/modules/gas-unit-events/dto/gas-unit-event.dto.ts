import { ApiProperty } from '@nestjs/swagger';
import {
  PRECHARGE_OBSERVATION_KINDS,
  type PrechargeObservationKind,
} from '../../../core/precharge/precharge-model';
import { TEST_OUTCOMES, type TestOutcome } from '../../../core/hydraulics/judge-findings';
import { type GasUnitEvent } from '../gas-unit-event.entity';
import { roundedBar, roundedTo } from '../rounded';

/** The limits that a precharge was judged by, as they stood when it was recorded. */
export class PrechargeLimitsDto {
  nominal20BarGauge!: number;
  /** Below it the unit has to be recharged. */
  limit20BarGauge!: number | null;
  /** The rule of the service programme that set it; null for a share of nominal by programme or common practice. */
  ruleCode!: string | null;
}

/** A precharge test, or a charge with the pressure that it ended with. */
export class GasUnitEventDto {
  id!: string;
  unitId!: string;
  @ApiProperty({ enum: PRECHARGE_OBSERVATION_KINDS })
  kind!: PrechargeObservationKind;
  /** Where the unit was fitted then; null on the bench. */
  vehicleId!: string | null;
  position!: string | null;
  @ApiProperty({ format: 'date-time' })
  doneAt!: string;
  /** As the gauge showed it. */
  pressureBarGauge!: number;
  gasTemperatureC!: number;
  /** Absolute pressure of the air around the gauge. */
  ambientBar!: number;
  altitudeM!: number | null;
  /** What the gauge would show at 20 °C, by the real gas. */
  precharge20BarGauge!: number;
  /** By the ideal-gas law, for comparison only. */
  idealPrecharge20BarGauge!: number;
  /** Share of the nominal precharge: 0.8 is 80 %. */
  shareOfNominal!: number;
  /** `inconclusive` settles nothing: repeat it. */
  @ApiProperty({ enum: TEST_OUTCOMES })
  outcome!: TestOutcome;
  /** In sentences. */
  outcomeReasons!: string[];
  @ApiProperty({ type: PrechargeLimitsDto })
  limits!: PrechargeLimitsDto;
  gaugeId!: string | null;
  /** Whether the gauge's calibration was overdue on that day; null where the gauge or its date is not known. */
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

export class GasUnitEventPageDto {
  items!: GasUnitEventDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toGasUnitEventDto(event: GasUnitEvent): GasUnitEventDto {
  const { nominal20BarGauge, limit20BarGauge, ruleCode } = event.limits;
  return {
    id: event.id,
    unitId: event.unitId,
    kind: event.kind,
    vehicleId: event.vehicleId,
    position: event.position,
    doneAt: event.doneAt.toISOString(),
    pressureBarGauge: event.pressureBarGauge,
    gasTemperatureC: event.gasTemperatureC,
    ambientBar: roundedTo(event.ambientBar, 5),
    altitudeM: event.altitudeM,
    precharge20BarGauge: roundedBar(event.precharge20BarGauge),
    idealPrecharge20BarGauge: roundedBar(event.idealPrecharge20BarGauge),
    shareOfNominal: roundedTo(event.precharge20BarGauge / nominal20BarGauge, 4),
    outcome: event.outcome,
    outcomeReasons: [...event.outcomeReasons],
    limits: {
      nominal20BarGauge,
      limit20BarGauge: limit20BarGauge === null ? null : roundedBar(limit20BarGauge),
      ruleCode,
    },
    gaugeId: event.gaugeId,
    gaugeOverdue: event.gaugeOverdue,
    doneBy: event.doneBy,
    note: event.note,
    externalKey: event.externalKey,
    recordedAt: event.recordedAt.toISOString(),
    voidedAt: event.voidedAt?.toISOString() ?? null,
    voidedBy: event.voidedBy,
    voidReason: event.voidReason,
    revision: event.revision,
  };
}
