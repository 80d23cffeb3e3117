import { ambientBarOf, type Ambient } from '../../core/gas/ambient-pressure';
import { deliveredVolume } from '../../core/gas/delivered-volume';
import type { GasCaution } from '../../core/gas/gas-cautions';
import { normalisePrecharge } from '../../core/gas/normalise-precharge';
import { rideEffect } from '../../core/gas/ride-effect';
import { stopwatchTest } from '../../core/gas/stopwatch-test';
import { storedApplications } from '../../core/gas/stored-applications';
import { InputError } from '../../core/shared/input-error';
import type {
  DeliveredVolumeInputDto,
  NormalisedPrechargeInputDto,
  RideEffectInputDto,
  StopwatchTestInputDto,
  StoredApplicationsInputDto,
} from './dto/calculation-input.dto';
import type {
  CalculationDto,
  DeliveredVolumeDto,
  NormalisedPrechargeDto,
  RideEffectDto,
  StopwatchTestDto,
  StoredApplicationsDto,
} from './dto/calculation.dto';

const GAS_TEMPERATURE_C = 20;
// Common practice, no published source.
const LOWEST_PRECHARGE_SHARE = 0.8;
const SHORTEST_INTERVAL_SECONDS = 10;

interface Worked {
  method: string;
  validity: string;
  cautions: readonly GasCaution[];
}

export function normalisedPrecharge(body: NormalisedPrechargeInputDto): NormalisedPrechargeDto {
  const worked = normalisePrecharge(body);
  const { pressureBarGauge, gasTemperatureC } = body;
  return {
    inputs: { pressureBarGauge, gasTemperatureC, ...ambientOf(body) },
    result: {
      precharge20BarGauge: worked.precharge20BarGauge,
      idealPrecharge20BarGauge: worked.idealPrecharge20BarGauge,
      pressureBarAbs: worked.pressureBarAbs,
      likelyFahrenheitReadingC: worked.likelyFahrenheitReadingC,
      warnings: [...worked.warnings],
    },
    ...withUnits(worked, {
      precharge20BarGauge: 'bar above ambient pressure, at 20 °C',
      idealPrecharge20BarGauge: 'bar above ambient pressure, at 20 °C',
      pressureBarAbs: 'bar absolute',
      likelyFahrenheitReadingC: '°C',
    }),
  };
}

export function calculatedDeliveredVolume(body: DeliveredVolumeInputDto): DeliveredVolumeDto {
  const input = { gasTemperatureC: GAS_TEMPERATURE_C, ...given(body) };
  const worked = deliveredVolume(input);
  const { gasVolumeL, precharge20BarGauge, lowBarGauge, highBarGauge, gasTemperatureC } = input;
  const { isothermalL, fastL, fastEndTemperatureC, fastEffectiveExponent } = worked;
  return {
    inputs: {
      gasVolumeL,
      precharge20BarGauge,
      lowBarGauge,
      highBarGauge,
      gasTemperatureC,
      ...ambientOf(body),
    },
    result: {
      isothermalL,
      fastL,
      fastEndTemperatureC,
      fastEffectiveExponent,
      isBottomed: worked.isBottomed,
      lowEndBarAbs: worked.lowEndBarAbs,
      ideal: worked.ideal,
    },
    ...withUnits(worked, {
      isothermalL: 'l',
      adiabaticL: 'l',
      fastL: 'l',
      fastEndTemperatureC: '°C',
      lowEndBarAbs: 'bar absolute',
    }),
  };
}

export function calculatedStopwatchTest(body: StopwatchTestInputDto): StopwatchTestDto {
  const limits = {
    lowestPrechargeShare: LOWEST_PRECHARGE_SHARE,
    shortestIntervalSeconds: SHORTEST_INTERVAL_SECONDS,
    ...given(body.limits),
  };
  const input = { gasTemperatureC: GAS_TEMPERATURE_C, ...given(body), limits };
  const worked = stopwatchTest(input);
  const { figures, diagnosis } = worked;
  return {
    inputs: {
      chargeSeconds: input.chargeSeconds,
      idleSeconds: input.idleSeconds,
      pumpDeliveryLPerMin: input.pumpDeliveryLPerMin ?? null,
      gasVolumeL: input.gasVolumeL,
      cutInBarGauge: input.cutInBarGauge,
      cutOutBarGauge: input.cutOutBarGauge,
      gasTemperatureC: input.gasTemperatureC,
      ...ambientOf(body),
      limits: {
        nominalPrecharge20BarGauge: limits.nominalPrecharge20BarGauge,
        lowestPrechargeShare: limits.lowestPrechargeShare,
        shortestIntervalSeconds: limits.shortestIntervalSeconds,
        highestLeakMlPerMin: limits.highestLeakMlPerMin ?? null,
      },
    },
    result: {
      intervalSeconds: worked.intervalSeconds,
      dutyShare: worked.dutyShare,
      figures,
      diagnosis: { ...diagnosis, reasons: [...diagnosis.reasons] },
    },
    ...withUnits(worked, {
      intervalSeconds: 's',
      leakMlPerMin: 'ml/min',
      usableMl: 'ml',
      lowBarGauge: 'bar above ambient pressure, at 20 °C',
      highBarGauge: 'bar above ambient pressure, at 20 °C',
    }),
  };
}

export function calculatedStoredApplications(body: StoredApplicationsInputDto): StoredApplicationsDto {
  const input = { gasTemperatureC: GAS_TEMPERATURE_C, ...given(body) };
  const worked = storedApplications(input);
  const { cutInBarGauge, warningBarGauge, gasTemperatureC, front, rear } = input;
  return {
    inputs: { cutInBarGauge, warningBarGauge, gasTemperatureC, ...ambientOf(body), front, rear },
    result: { front: worked.front, rear: worked.rear },
    ...withUnits(worked, {
      deliveredMl: 'ml',
      fullApplications: 'full applications',
      endTemperatureC: '°C',
    }),
  };
}

export function calculatedRideEffect(body: RideEffectInputDto): RideEffectDto {
  const input = { gasTemperatureC: GAS_TEMPERATURE_C, ...given(body) };
  const worked = rideEffect(input);
  return {
    inputs: {
      gasVolumeL: input.gasVolumeL,
      precharge20BarGauge: input.precharge20BarGauge,
      nominalPrecharge20BarGauge: input.nominalPrecharge20BarGauge,
      carriedMassKg: input.carriedMassKg,
      boreMm: input.boreMm,
      gasTemperatureC: input.gasTemperatureC,
      ...ambientOf(body),
    },
    result: {
      pressureBarAbs: worked.pressureBarAbs,
      spring: worked.spring,
      idealSpring: worked.idealSpring,
      frequencyRatio: worked.frequencyRatio,
      idealFrequencyRatio: worked.idealFrequencyRatio,
      bumpTravelShare: worked.bumpTravelShare,
      bumpTravelMm: worked.bumpTravelMm,
      sentence: worked.sentence,
    },
    ...withUnits(worked, {
      pressureBarAbs: 'bar absolute',
      gasVolumeL: 'l',
      rateNPerM: 'N/m',
      frequencyHz: 'Hz',
      bumpTravelMm: 'mm',
    }),
  };
}

/** Words an error of the core with the path of the request's body: `front.units[0]` is `front.units.0` there. */
export function withBodyPaths<T>(calculate: () => T): T {
  try {
    return calculate();
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    throw new InputError(error.field.replace(/\[(\d+)\]/g, '.$1'), error.message, error.remedy);
  }
}

function ambientOf(ambient: Ambient): { ambientBar: number; altitudeM: number | null } {
  return { ambientBar: ambientBarOf(ambient), altitudeM: ambient.altitudeM ?? null };
}

// a field that was left out must not take the place of its default
function given<T extends object>(body: T): T {
  return Object.fromEntries(Object.entries(body).filter(([, value]) => value !== undefined)) as T;
}

function withUnits({ method, validity, cautions }: Worked, units: Record<string, string>): CalculationDto {
  return { units, method, validity, cautions: cautions.map(({ code, text }) => ({ code, text })) };
}
