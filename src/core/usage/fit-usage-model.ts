import { mean, median, quantile } from '../shared/statistics-quantile';
import { normalQuantile } from '../shared/statistics-normal';
import { offRoadCalendar } from './off-road';
import { type ForecastTrial, rollingOrigin, standardError } from './rolling-origin';
import {
  estimateUsage,
  SLOPE_OF_WALK,
  squaredIncrements,
  unseenYear,
  type UsageRecord,
  WINDOW_DAYS,
} from './usage-estimate';
import type { MeterUnit } from './usage-forecast';
import { defaultUsageModel, LONG_RECORD_DAYS, type UsageModel, type Widening } from './usage-model';

/** Horizons at which a model is fitted, days. */
export const FITTED_HORIZONS_DAYS: readonly number[] = [30, 60, 90, 135, 180, 270, 365];
/** Horizons at which it is widened. */
export const WIDENED_HORIZONS_DAYS: readonly number[] = [30, 90, 180, 270, 365];
/** Below this many vehicles the defaults stand: their own record is still too thin to speak for a class. */
export const FEWEST_VEHICLES = 5;
/** A horizon with fewer trials than this does not take part in the fit. */
export const FEWEST_TRIALS = 30;

const NOMINAL_COVERAGE = 0.8;
const FEWEST_CELLS = 4;
const FIT_ROUNDS = 8;
const SHRINKING_TRIALS = 20;
// A fleet without any error, or one that mostly stands, must not make an interval of nothing or of all.
const SMALLEST_WIDENING = 0.1;
const LARGEST_WIDENING = 10;
const SMALLEST_INCREMENT_FACTOR = 0.2;
// Even the steadiest vehicle's days differ; keeps a forecast from claiming to know the day exactly.
const SMALLEST_INCREMENT_VARIANCE = 0.05;

/**
 * Pooled model of one duty class from the records of its vehicles.
 *
 * Median and spread of the rate and the variance of a day come from the vehicles' estimates. The other
 * four terms are fitted to what came of past forecasts (`rollingOrigin`) so that at each horizon the
 * nominal 80 % interval held 80 %: the terms are linear in the relative variance, each at least zero, with
 * the horizons' variances re-scaled by their measured coverage and fitted again, `FIT_ROUNDS` times.
 * What shape of the variance they
 * cannot follow is then taken up by the widening, from the same trials.
 * With fewer than `FEWEST_VEHICLES` vehicles that have a rate of their own, the defaults.
 */
export function fitUsageModel(fleet: readonly UsageRecord[], unit: MeterUnit): UsageModel {
  const defaults = defaultUsageModel(unit);
  const rates: number[] = [];
  const squares: number[] = [];
  for (const record of fleet) {
    const rate = collectIncrements(record, defaults, squares);
    if (rate !== null) rates.push(rate);
  }
  if (rates.length < FEWEST_VEHICLES) return defaults;
  const logs = rates.map(Math.log);
  const centre = mean(logs);
  const started: UsageModel = {
    ...defaults,
    medianRatePerDay: Math.exp(median(logs)),
    rateLogSd: Math.sqrt(logs.reduce((sum, log) => sum + (log - centre) ** 2, 0) / (logs.length - 1)),
    incrementVariance: Math.max(SMALLEST_INCREMENT_VARIANCE, trimmedMean(squares)),
    vehicles: rates.length,
  };
  const fitted = fitVariances(started, rollingOrigin(fleet, started, FITTED_HORIZONS_DAYS));
  return { ...fitted, widening: fitWidening(rollingOrigin(fleet, fitted, WIDENED_HORIZONS_DAYS)) };
}

/**
 * The factors on the standard deviation with which the nominal 80 % interval would have held 80 % of the
 * trials at each horizon, for short and for long records. The factor of one horizon is drawn towards that of all trials together (in
 * logarithms, as if that spoke with `SHRINKING_TRIALS` trials): overlapping trials of a few vehicles say
 * less than their number, so only those of separate stretches of road count as evidence.
 * Empty with fewer than `FEWEST_TRIALS` trials in all.
 */
function fitWidening(trials: readonly ForecastTrial[]): Widening[] {
  if (trials.length < FEWEST_TRIALS) return [];
  const overall = Math.log(wideningOf(trials.map(standardError)));
  const factor = (here: readonly ForecastTrial[], days: number): number => {
    const separate = new Set(
      here.map((trial) => `${trial.vehicle}/${Math.floor(trial.forecast.originDay / days)}`),
    ).size;
    const own = separate === 0 ? overall : Math.log(wideningOf(here.map(standardError)));
    return Math.exp((separate * own + SHRINKING_TRIALS * overall) / (separate + SHRINKING_TRIALS));
  };
  return WIDENED_HORIZONS_DAYS.map((afterDays) => {
    const here = trials.filter((trial) => trial.horizonDays === afterDays);
    return {
      afterDays,
      shortRecord: factor(
        here.filter((trial) => !isLong(trial)),
        afterDays,
      ),
      longRecord: factor(here.filter(isLong), afterDays),
    };
  });
}

function isLong(trial: ForecastTrial): boolean {
  return trial.estimate.elapsedDays >= LONG_RECORD_DAYS;
}

function wideningOf(standardErrors: readonly number[]): number {
  const sizes = standardErrors.map(Math.abs);
  const factor = quantile(sizes, NOMINAL_COVERAGE) / normalQuantile((1 + NOMINAL_COVERAGE) / 2);
  return Math.min(Math.max(factor, SMALLEST_WIDENING), LARGEST_WIDENING);
}

// windows that do not overlap, newest first, so that no increment is counted twice
function collectIncrements(record: UsageRecord, model: UsageModel, squares: number[]): number | null {
  const calendar = offRoadCalendar(record.offRoad ?? []);
  let newestRate: number | null = null;
  let track = record.track;
  while (track.length > 0) {
    const newestDay = Math.max(...track.map((point) => point.day));
    const dutyChangeDays = (record.dutyChangeDays ?? []).filter((day) => day <= newestDay);
    const estimate = estimateUsage({ ...record, track, dutyChangeDays }, model);
    const rate = estimate.ownRatePerDay;
    if (rate !== null && rate > 0) {
      newestRate ??= rate;
      squares.push(...squaredIncrements(estimate.used, rate, calendar));
    }
    const since = Math.max(newestDay - WINDOW_DAYS, ...dutyChangeDays);
    track = track.filter((point) => point.day < since);
  }
  return newestRate;
}

// Values above nine times a robust variance (0.455 is the median of a squared normal value) are cut to that.
function trimmedMean(squares: readonly number[]): number {
  if (squares.length === 0) return 0;
  const cap = (9 * median(squares)) / 0.455;
  return mean(squares.map((square) => Math.min(square, cap)));
}

/** What the four terms of the variance contribute per unit of their parameter. */
type Terms = readonly [increments: number, rate: number, season: number, wander: number];

interface Cell {
  readonly errors: readonly number[];
  readonly terms: readonly Terms[];
  readonly meanTerms: Terms;
}

// One cell per horizon and length of the record: what a short record costs is told apart from what a
// long look ahead costs.
function cellsOf(model: UsageModel, trials: readonly ForecastTrial[]): Cell[] {
  const cells: Cell[] = [];
  for (const horizonDays of FITTED_HORIZONS_DAYS) {
    for (const long of [false, true]) {
      const here = trials.filter((trial) => trial.horizonDays === horizonDays && isLong(trial) === long);
      if (here.length < FEWEST_TRIALS) continue;
      const terms = here.map((trial) => termsOf(trial, model));
      const meanTerm = (k: 0 | 1 | 2 | 3): number => mean(terms.map((term) => term[k]));
      cells.push({
        errors: here.map((trial) => trial.error),
        terms,
        meanTerms: [meanTerm(0), meanTerm(1), meanTerm(2), meanTerm(3)],
      });
    }
  }
  return cells;
}

function fitVariances(model: UsageModel, trials: readonly ForecastTrial[]): UsageModel {
  const cells = cellsOf(model, trials);
  if (cells.length < FEWEST_CELLS) return model;
  let parameters: Terms = [1, model.rateVariance, model.seasonVariance, model.rateWander];
  for (let round = 0; round < FIT_ROUNDS; round++) {
    const targets = cells.map(({ errors, terms, meanTerms }) => {
      const scaled = errors.map((error, i) => error / Math.sqrt(dot(terms[i] as Terms, parameters)));
      return dot(meanTerms, parameters) * wideningOf(scaled) ** 2;
    });
    parameters = nonNegativeFit(
      cells.map((cell) => cell.meanTerms),
      targets,
    );
  }
  const [incrementFactor, rateVariance, seasonVariance, rateWander] = parameters;
  return {
    ...model,
    incrementFactor: Math.max(incrementFactor, SMALLEST_INCREMENT_FACTOR),
    rateVariance,
    seasonVariance,
    rateWander,
  };
}

function termsOf(trial: ForecastTrial, model: UsageModel): Terms {
  const ahead = trial.elapsedDays;
  const observed = trial.estimate.elapsedDays;
  const own = trial.estimate.incrementVariance / model.incrementFactor;
  return [own * (1 / ahead + SLOPE_OF_WALK / observed), 1, unseenYear(observed), ahead + observed];
}

function dot(a: Terms, b: Terms): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + a[3] * b[3];
}

// Least squares of relative errors with parameters of at least zero: with four of them the best of the
// fifteen subsets whose free solution is admissible is the answer.
function nonNegativeFit(rows: readonly Terms[], targets: readonly number[]): Terms {
  let best: Terms = [1, 0, 0, 0];
  let bestLoss = Infinity;
  for (let subset = 1; subset < 16; subset++) {
    const members = [0, 1, 2, 3].filter((k) => subset & (1 << k)) as (0 | 1 | 2 | 3)[];
    const scaled = rows.map((row, i) => members.map((k) => row[k] / (targets[i] as number)));
    const solution = solveNormal(scaled);
    if (!solution || solution.some((value) => value < 0)) continue;
    const loss = scaled.reduce(
      (sum, row) => sum + (row.reduce((fit, x, k) => fit + x * (solution[k] as number), 0) - 1) ** 2,
      0,
    );
    if (loss >= bestLoss) continue;
    bestLoss = loss;
    const full: [number, number, number, number] = [0, 0, 0, 0];
    members.forEach((k, place) => (full[k] = solution[place] as number));
    best = full;
  }
  return best;
}

// Solves rows * p = 1 in the least-squares sense by elimination on the normal equations.
function solveNormal(rows: readonly (readonly number[])[]): number[] | null {
  const size = rows[0]?.length ?? 0;
  const scale = Array.from({ length: size }, (_, k) => Math.hypot(...rows.map((row) => row[k] as number)));
  const matrix = Array.from({ length: size }, (_, i) =>
    Array.from({ length: size + 1 }, (_, j) =>
      rows.reduce((sum, row) => {
        const left = (row[i] as number) / (scale[i] as number);
        return sum + left * (j === size ? 1 : (row[j] as number) / (scale[j] as number));
      }, 0),
    ),
  );
  for (let i = 0; i < size; i++) {
    const pivotRow = matrix[i] as number[];
    const pivot = pivotRow[i] as number;
    // columns scaled to length one: this small means that two of them say the same
    if (Math.abs(pivot) < 1e-9) return null;
    for (let r = 0; r < size; r++) {
      const row = matrix[r] as number[];
      const factor = (row[i] as number) / pivot;
      if (r !== i)
        for (let c = i; c <= size; c++) row[c] = (row[c] as number) - factor * (pivotRow[c] as number);
    }
  }
  return matrix.map((row, i) => (row[size] as number) / (row[i] as number) / (scale[i] as number));
}
