import type { EpochDay } from '../shared/calendar-date';
import { ATMOSPHERE_BAR } from '../shared/units-of-measure';
import { studentQuantile } from '../shared/statistics-student';
import type { ChargeSeries, ChargeSums } from './charge-sums';
import { probabilityBelowAfter, scaleAfter } from './crossing';
import { type DecayPosterior, type DecayPrior, decayPosterior } from './decay-posterior';
import {
  DAYS_PER_YEAR,
  type FlaggedObservations,
  flagObservations,
  type LeftOutObservation,
  logPressure,
} from './flag-observations';
import type { PrechargeModel, PrechargeObservation } from './precharge-model';

/** What is known of one unit's precharge: a plain object. */
export interface PrechargeFit {
  /** Years are counted from here: the day of the first observation that is used. */
  readonly originDay: EpochDay;
  /** Widened as the model says. */
  readonly decay: DecayPosterior;
  /** Earliest first. */
  readonly used: readonly PrechargeObservation[];
  readonly lastMeasured: PrechargeObservation;
  readonly leftOut: readonly LeftOutObservation[];
}

/** A fit with the lines of its charges, for those who look at the past. */
export interface PrechargeLines {
  readonly fit: PrechargeFit;
  readonly charges: readonly (readonly PrechargeObservation[])[];
  readonly series: readonly ChargeSeries[];
  readonly sums: readonly ChargeSums[];
}

/** Bar gauge at 20 °C: the middle and the ends of the 80 % interval. */
export interface PrechargeEstimate {
  readonly medianBarGauge: number;
  readonly lowBarGauge: number;
  readonly highBarGauge: number;
}

/**
 * Fits one unit's precharge: leaves out what cannot be true, and joins the rest with what is known of the type.
 *
 * @param observations in any order; those of one day in the order in which they were made
 * @returns null without an observation
 * @throws InputError naming `precharge20BarGauge` for an absolute pressure that is not above zero
 */
export function fitPrecharge(
  observations: readonly PrechargeObservation[],
  model: PrechargeModel,
): PrechargeFit | null {
  return fitLines(observations, model)?.fit ?? null;
}

/** As `fitPrecharge`, with the lines. */
export function fitLines(
  observations: readonly PrechargeObservation[],
  model: PrechargeModel,
): PrechargeLines | null {
  const flagged = flagObservations(observations, model);
  const { charges, leftOut } = flagged;
  const lastMeasured = charges.at(-1)?.at(-1);
  const originDay = charges[0]?.[0]?.day;
  if (lastMeasured === undefined || originDay === undefined) return null;
  const series = seriesOf(flagged, originDay);
  const fitted = decayPosterior(series, priorOf(model));
  if (!fitted) return null;
  const { posterior } = fitted;
  return {
    fit: {
      originDay,
      decay: { ...posterior, scale: posterior.scale * model.widening },
      used: charges.length === 1 ? (charges[0] as PrechargeObservation[]) : charges.flat(),
      lastMeasured,
      leftOut,
    },
    charges,
    series,
    sums: fitted.charges,
  };
}

/** The prior that a model is for a single unit: its line's level is only known from readings. */
export function priorOf(model: PrechargeModel): DecayPrior {
  const { logLossPerYear, readingSd, degreesOfFreedom, wanderPerYear } = model;
  const variance = readingSd * readingSd;
  return {
    lossMean: logLossPerYear.mean,
    lossPrecision: variance / (logLossPerYear.sd * logLossPerYear.sd),
    degreesOfFreedom,
    sumOfSquares: degreesOfFreedom * variance,
    wanderPerYear,
    level: null,
  };
}

/** Years and logarithms of the readings that are used, by charge. */
export function seriesOf(flagged: FlaggedObservations, originDay: EpochDay): ChargeSeries[] {
  return flagged.charges.map((charge) => {
    const years = new Array<number>(charge.length);
    const logs = new Array<number>(charge.length);
    for (let i = 0; i < charge.length; i++) {
      const { day, precharge20BarGauge } = charge[i] as PrechargeObservation;
      years[i] = (day - originDay) / DAYS_PER_YEAR;
      logs[i] = logPressure(precharge20BarGauge);
    }
    return { years, logs };
  });
}

/**
 * The precharge that a unit has on a day, with its 80 % interval: that of the gas, without the error of reading
 * it. Not rounded.
 *
 * @param day not before the last observation; an earlier one counts as that. See `outlookBand` for the past
 */
export function estimateOn(fit: PrechargeFit, day: EpochDay): PrechargeEstimate {
  const { decay } = fit;
  const years = yearsAfterLast(fit, day);
  const half = studentQuantile(0.9, decay.degreesOfFreedom) * scaleAfter(decay, years);
  return estimateAround(decay.level - decay.loss * years, half);
}

/**
 * Where a test on a day will read, as the logarithm of the absolute pressure: a Student t distribution about
 * `log` with this scale; the error of reading it is included. As for `estimateOn`.
 */
export function readingOn(
  fit: PrechargeFit,
  day: EpochDay,
): { readonly log: number; readonly scale: number; readonly degreesOfFreedom: number } {
  const { decay } = fit;
  const years = yearsAfterLast(fit, day);
  const scale = Math.hypot(scaleAfter(decay, years), decay.scale);
  return { log: decay.level - decay.loss * years, scale, degreesOfFreedom: decay.degreesOfFreedom };
}

/** Probability that the precharge of a unit is below a limit on a day; as for `estimateOn`. */
export function probabilityBelow(fit: PrechargeFit, limit20BarGauge: number, day: EpochDay): number {
  return probabilityBelowAfter(fit.decay, logPressure(limit20BarGauge), yearsAfterLast(fit, day));
}

/** Bar gauge from a logarithm of the absolute pressure, more or less `half`. */
export function estimateAround(log: number, half: number): PrechargeEstimate {
  return {
    medianBarGauge: Math.exp(log) - ATMOSPHERE_BAR,
    lowBarGauge: Math.exp(log - half) - ATMOSPHERE_BAR,
    highBarGauge: Math.exp(log + half) - ATMOSPHERE_BAR,
  };
}

function yearsAfterLast(fit: PrechargeFit, day: EpochDay): number {
  return Math.max(0, day - fit.lastMeasured.day) / DAYS_PER_YEAR;
}
