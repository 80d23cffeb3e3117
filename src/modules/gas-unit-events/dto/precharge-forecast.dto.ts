import { ApiProperty } from '@nestjs/swagger';
import {
  PRECHARGE_OBSERVATION_KINDS,
  type PrechargeObservationKind,
} from '../../../core/precharge/precharge-model';
import { TEST_OUTCOMES, type TestOutcome } from '../../../core/hydraulics/judge-findings';
import { LIMIT_ORIGINS, type LimitOrigin } from '../limit-in-force';
import { MeasuringCautionDto } from './recorded-gas-unit-event.dto';

/** Bar gauge at 20 °C; the gas itself, without the error of reading it. */
export class PrechargeEstimateDto {
  /** Not exceeded with 10 % probability. */
  low20BarGauge!: number;
  median20BarGauge!: number;
  /** Not exceeded with 90 % probability. */
  high20BarGauge!: number;
}

export class PrechargeBandPointDto extends PrechargeEstimateDto {
  @ApiProperty({ format: 'date' })
  on!: string;
}

export class LossPerYearDto {
  /** Share of the absolute pressure: 0.05 is 5 % a year; negative is a gain. */
  share!: number;
  /** Ends of the 80 % interval. */
  low!: number;
  high!: number;
}

export class ProbabilityBelowDto {
  daysAhead!: number;
  @ApiProperty({ format: 'date' })
  on!: string;
  /** Of being below the limit on that day, 0 to 1. */
  probability!: number;
}

export class ForecastObservationDto {
  eventId!: string;
  @ApiProperty({ enum: PRECHARGE_OBSERVATION_KINDS })
  kind!: PrechargeObservationKind;
  /** The day at the unit's depot. */
  @ApiProperty({ format: 'date' })
  doneOn!: string;
  precharge20BarGauge!: number;
  @ApiProperty({ enum: TEST_OUTCOMES })
  outcome!: TestOutcome;
  used!: boolean;
  /** Why it is left out. @example rise-without-charge */
  leftOutCode!: string | null;
  leftOutReason!: string | null;
}

export class ForecastLimitDto {
  nominal20BarGauge!: number;
  limit20BarGauge!: number;
  ruleCode!: string | null;
  /** `common-practice` where the programme sets none. */
  @ApiProperty({ enum: LIMIT_ORIGINS })
  origin!: LimitOrigin;
}

/** What is known of all units of the type; logarithms of the absolute pressure. */
export class PrechargeModelUsedDto {
  /** `default-prior` until enough units of the type have a record. */
  @ApiProperty({ enum: ['learnt', 'default-prior'] })
  origin!: 'learnt' | 'default-prior';
  /** Units that it was learnt from. */
  units!: number;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  fittedAt!: string | null;
  /** Fall of the logarithm in a year over the units. */
  logLossPerYearMean!: number;
  logLossPerYearSd!: number;
  /** Standard deviation of one reading. */
  readingSd!: number;
  wanderPerYear!: number;
  widening!: number;
}

/** When a unit has to be recharged, with what it takes to follow how that was worked out. */
export class PrechargeForecastDto {
  unitId!: string;
  serialNumber!: string;
  typeCode!: string;
  /** Zone in which its days are counted. */
  zone!: string;
  @ApiProperty({ format: 'date' })
  todayOn!: string;
  @ApiProperty({ type: ForecastLimitDto })
  limit!: ForecastLimitDto;
  @ApiProperty({ type: PrechargeModelUsedDto })
  model!: PrechargeModelUsedDto;
  observations!: ForecastObservationDto[];
  /** Today; null where nothing has been measured. */
  @ApiProperty({ type: PrechargeEstimateDto, nullable: true })
  present!: PrechargeEstimateDto | null;
  @ApiProperty({ type: LossPerYearDto, nullable: true })
  lossPerYear!: LossPerYearDto | null;
  /** First days on which the unit is below the limit with a probability of 10, 50 and 90 %; null for none within the horizon. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  earliestOn!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  medianOn!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  latestOn!: string | null;
  /** Why there is no latest day. */
  @ApiProperty({ enum: ['loss-not-told-from-zero', 'beyond-horizon'], nullable: true, type: String })
  openEnd!: 'loss-not-told-from-zero' | 'beyond-horizon' | null;
  /** Beyond this day nothing is said. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  horizonOn!: string | null;
  /** Today, and in 90, 180 and 365 days. */
  probabilityBelowLimit!: ProbabilityBelowDto[];
  /** The fitted line with its 80 % band, past and to come. */
  band!: PrechargeBandPointDto[];
  /** What to record so that a forecast can be made. */
  missing!: string[];
  method!: string;
  validity!: string;
  @ApiProperty({ type: [MeasuringCautionDto] })
  cautions!: MeasuringCautionDto[];
}
