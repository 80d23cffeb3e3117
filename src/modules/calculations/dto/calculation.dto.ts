import { ApiProperty } from '@nestjs/swagger';

/** A warning to be shown with a figure. */
export class CalculationCautionDto {
  /** @example advice-not-a-certificate */
  code!: string;
  text!: string;
}

/** What comes with every calculated figure. */
export class CalculationDto {
  /** Unit of each figure of the result, by its name; shares and ratios have none. */
  @ApiProperty({ type: 'object', additionalProperties: { type: 'string' } })
  units!: Record<string, string>;
  /** How it was worked out. */
  method!: string;
  /** Where it holds. */
  validity!: string;
  @ApiProperty({ type: [CalculationCautionDto] })
  cautions!: CalculationCautionDto[];
}

/** The inputs as they were used: defaults filled in, an altitude turned into an ambient pressure. */
export class NormalisedPrechargeInputsDto {
  pressureBarGauge!: number;
  gasTemperatureC!: number;
  ambientBar!: number;
  altitudeM!: number | null;
}

export class NormalisedPrechargeResultDto {
  /** By the real gas: the figure to be used. */
  precharge20BarGauge!: number;
  /** By the ideal-gas law, for comparison only. */
  idealPrecharge20BarGauge!: number;
  pressureBarAbs!: number;
  /** What the temperature would be, had a Fahrenheit thermometer been read; null where that is unlikely. */
  likelyFahrenheitReadingC!: number | null;
  /** What looks odd about the reading, in sentences. */
  warnings!: string[];
}

export class NormalisedPrechargeDto extends CalculationDto {
  inputs!: NormalisedPrechargeInputsDto;
  result!: NormalisedPrechargeResultDto;
}

export class DeliveredVolumeInputsDto {
  gasVolumeL!: number;
  precharge20BarGauge!: number;
  lowBarGauge!: number;
  highBarGauge!: number;
  gasTemperatureC!: number;
  ambientBar!: number;
  altitudeM!: number | null;
}

/** By the textbook formulas for an ideal gas, for comparison only. */
export class IdealDeliveredVolumeDto {
  isothermalL!: number;
  adiabaticL!: number;
  fastL!: number;
}

export class DeliveredVolumeResultDto {
  /** So slow that the gas keeps its temperature. */
  isothermalL!: number;
  /** Charged slowly, discharged at once. */
  fastL!: number;
  /** Of the gas after the fast discharge. */
  fastEndTemperatureC!: number;
  /** n of p V^n = constant between the two ends of the fast discharge; null when nothing is delivered. */
  fastEffectiveExponent!: number | null;
  /** The precharge is above the low pressure: the unit gives nothing below it. */
  isBottomed!: boolean;
  /** Where the discharge ends. */
  lowEndBarAbs!: number;
  ideal!: IdealDeliveredVolumeDto;
}

export class DeliveredVolumeDto extends CalculationDto {
  inputs!: DeliveredVolumeInputsDto;
  result!: DeliveredVolumeResultDto;
}

export class StopwatchLimitsDto {
  nominalPrecharge20BarGauge!: number;
  lowestPrechargeShare!: number;
  shortestIntervalSeconds!: number;
  highestLeakMlPerMin!: number | null;
}

export class StopwatchTestInputsDto {
  chargeSeconds!: number;
  idleSeconds!: number;
  pumpDeliveryLPerMin!: number | null;
  gasVolumeL!: number;
  cutInBarGauge!: number;
  cutOutBarGauge!: number;
  gasTemperatureC!: number;
  ambientBar!: number;
  altitudeM!: number | null;
  limits!: StopwatchLimitsDto;
}

/** The truth lies between a gas that keeps its temperature and one that takes no heat at all. */
export class PrechargeBracketDto {
  lowBarGauge!: number;
  highBarGauge!: number;
  /** The high estimate is held at cut-in, because no precharge gives more volume. */
  isHighCapped!: boolean;
}

export class StopwatchFiguresDto {
  leakMlPerMin!: number;
  /** Volume that the accumulator gives between cut-out and cut-in. */
  usableMl!: number;
  /** Null when the accumulator cannot give that much at any precharge. */
  @ApiProperty({ type: PrechargeBracketDto, nullable: true })
  precharge20!: PrechargeBracketDto | null;
}

export const STOPWATCH_VERDICTS = [
  'healthy',
  'gas-loss',
  'system-leakage',
  'both',
  'cannot-be-told',
] as const;

export class StopwatchDiagnosisDto {
  @ApiProperty({ enum: STOPWATCH_VERDICTS })
  verdict!: (typeof STOPWATCH_VERDICTS)[number];
  /** The pump cuts in more often than the limit: a look is needed, whatever the verdict. */
  isIntervalShort!: boolean;
  /** Every reason with its numbers, in sentences. */
  reasons!: string[];
}

export class StopwatchTestResultDto {
  /** From one cut-in to the next. */
  intervalSeconds!: number;
  /** Share of the time that the pump charges. */
  dutyShare!: number;
  /** Null where the pump delivery is not known. */
  @ApiProperty({ type: StopwatchFiguresDto, nullable: true })
  figures!: StopwatchFiguresDto | null;
  diagnosis!: StopwatchDiagnosisDto;
}

export class StopwatchTestDto extends CalculationDto {
  inputs!: StopwatchTestInputsDto;
  result!: StopwatchTestResultDto;
}

export class CalculatedGasUnitDto {
  gasVolumeL!: number;
  precharge20BarGauge!: number;
}

export class BrakeCircuitDto {
  @ApiProperty({ type: [CalculatedGasUnitDto] })
  units!: CalculatedGasUnitDto[];
  fullApplicationMl!: number;
}

export const BRAKE_STORES = ['main-accumulator', 'rear-brake-accumulator', 'rear-suspension'] as const;

export class RearBrakeCircuitDto extends BrakeCircuitDto {
  @ApiProperty({ enum: ['rear-brake-accumulator', 'rear-suspension'] })
  fedBy!: 'rear-brake-accumulator' | 'rear-suspension';
}

export class StoredApplicationsInputsDto {
  cutInBarGauge!: number;
  warningBarGauge!: number;
  gasTemperatureC!: number;
  ambientBar!: number;
  altitudeM!: number | null;
  front!: BrakeCircuitDto;
  rear!: RearBrakeCircuitDto;
}

export class CircuitReserveDto {
  @ApiProperty({ enum: BRAKE_STORES })
  fedBy!: (typeof BRAKE_STORES)[number];
  deliveredMl!: number;
  /** Rounded down. */
  fullApplications!: number;
  /** Lowest gas temperature after the discharge. */
  endTemperatureC!: number;
  /** A precharge above the warning pressure holds the last of it back. */
  isBottomed!: boolean;
  sentence!: string;
}

export class StoredApplicationsResultDto {
  front!: CircuitReserveDto;
  rear!: CircuitReserveDto;
}

export class StoredApplicationsDto extends CalculationDto {
  inputs!: StoredApplicationsInputsDto;
  result!: StoredApplicationsResultDto;
}

export class RideEffectInputsDto {
  gasVolumeL!: number;
  precharge20BarGauge!: number;
  nominalPrecharge20BarGauge!: number;
  carriedMassKg!: number;
  boreMm!: number;
  gasTemperatureC!: number;
  ambientBar!: number;
  altitudeM!: number | null;
}

/** A gas spring at its static load. */
export class GasSpringDto {
  gasVolumeL!: number;
  /** n of the quick movement. */
  exponent!: number;
  rateNPerM!: number;
  frequencyHz!: number;
}

export class RideEffectResultDto {
  pressureBarAbs!: number;
  /** By the real gas. */
  spring!: GasSpringDto;
  /** By the ideal-gas law, for comparison only. */
  idealSpring!: GasSpringDto;
  /** Natural frequency against that with the nominal precharge; above 1 is harder. Null where it has none. */
  frequencyRatio!: number | null;
  idealFrequencyRatio!: number | null;
  /** Bump travel that is left, as a share of that with the nominal precharge. */
  bumpTravelShare!: number | null;
  /** Movement until the whole gas volume would be used up. */
  bumpTravelMm!: number;
  sentence!: string;
}

export class RideEffectDto extends CalculationDto {
  inputs!: RideEffectInputsDto;
  result!: RideEffectResultDto;
}
