import { quantile } from '../shared/statistics-quantile';
import { backTestPrecharge, coverageOf, type PrechargeTrial } from './back-test-precharge';
import type { ChargeSeries } from './charge-sums';
import { decayPosterior } from './decay-posterior';
import { errorModel, flatPrior } from './error-model';
import { seriesOf } from './fit-precharge';
import { flagObservations } from './flag-observations';
import type { PrechargeModel, PrechargeRecord } from './precharge-model';
import { randomEffects, type StudyEstimate } from './random-effects';

/** Below this many units with a loss of their own the programme's own prior stands. */
export const FEWEST_UNITS = 5;
/** From here on the units are halved to measure the coverage on units that the model has not seen. */
export const FEWEST_UNITS_TO_HALVE = 10;
/** With fewer trials nothing is said about coverage. */
export const FEWEST_TRIALS = 20;

const NOMINAL_COVERAGE = 0.8;
// The stated spread of the loss between units counts as much as that of so many units.
const UNITS_BEHIND_THE_PRIOR = 2;

/** A model learned from the units of one type, with what it was learned from and how well it holds. */
export interface LearnedPrechargeModel {
  readonly model: PrechargeModel;
  readonly record: PrechargeLearningRecord;
}

/** A plain object. */
export interface PrechargeLearningRecord {
  /** Units whose loss could be told from their own readings; those of the prior where it stands. */
  readonly units: number;
  /** Observations that were used. */
  readonly observations: number;
  readonly leftOut: number;
  /** True where too few units are on record and the programme's own prior stands. */
  readonly isPrior: boolean;
  /** Share of later tests that the nominal 80 % interval held, the widening included; null with too few. */
  readonly coverage80: number | null;
  /** The same before widening. */
  readonly coverage80Unwidened: number | null;
  /** `other-units`: measured on units that the fit had not seen. */
  readonly measuredOn: 'other-units' | 'the-same-units' | 'nothing';
  readonly trials: number;
  readonly widening: number;
}

/**
 * Learns the model of a unit type from the records of its units; the order of records and their ids do
 * not matter, save that the ids decide the halves. Hand in what was known on the day of learning, and
 * nothing later.
 *
 * Reading error and wandering by restricted likelihood (`errorModel`); mean and spread of the loss by
 * random effects (`randomEffects`), where the prior counts as one more unit for the mean and as two for the
 * spread. The widening is what the nominal 80 % interval lacks in a back-test, each half of the units
 * forecast with the model of the other half; it never narrows.
 *
 * @param prior the programme's own model of the type
 * @throws InputError naming `precharge20BarGauge` for an absolute pressure that is not above zero
 */
export function learnPrechargeModel(
  records: readonly PrechargeRecord[],
  prior: PrechargeModel,
): LearnedPrechargeModel {
  const sorted = [...records].sort((a, b) => (a.unitId < b.unitId ? -1 : a.unitId > b.unitId ? 1 : 0));
  let observations = 0;
  let leftOut = 0;
  for (const record of sorted) {
    const flagged = flagObservations(record.observations, prior);
    leftOut += flagged.leftOut.length;
    observations += record.observations.length - flagged.leftOut.length;
  }
  const fitted = fitModel(sorted, prior);
  const halves = [0, 1].map((half) => sorted.filter((_, i) => i % 2 === half)) as [
    PrechargeRecord[],
    PrechargeRecord[],
  ];
  const models = halves.map((half) => (fitted ? fitModel(half, prior) : null));
  const isHalved = fitted !== null && fitted.units >= FEWEST_UNITS_TO_HALVE && models.every(Boolean);
  const unwidened = { ...(fitted ?? prior), widening: 1 };
  const trials = halves.map((half, i) =>
    backTestPrecharge(half, isHalved ? (models[1 - i] as PrechargeModel) : unwidened),
  ) as [PrechargeTrial[], PrechargeTrial[]];
  const all = trials.flat();
  const isMeasured = all.length >= FEWEST_TRIALS;
  const widening = fitted && isMeasured ? wideningOf(all) : prior.widening;
  // the widening of each half is tried on the other
  const held = trials.map(
    (half, i) =>
      (coverageOf(half, isHalved ? wideningOf(trials[1 - i] as PrechargeTrial[]) : widening) ?? 0) *
      half.length,
  );
  return {
    model: fitted ? { ...fitted, widening } : prior,
    record: {
      units: fitted?.units ?? prior.units,
      observations,
      leftOut,
      isPrior: fitted === null,
      coverage80: isMeasured ? ((held[0] as number) + (held[1] as number)) / all.length : null,
      coverage80Unwidened: isMeasured ? coverageOf(all) : null,
      measuredOn: !isMeasured ? 'nothing' : isHalved || !fitted ? 'other-units' : 'the-same-units',
      trials: all.length,
      widening,
    },
  };
}

function fitModel(records: readonly PrechargeRecord[], prior: PrechargeModel): PrechargeModel | null {
  const units: ChargeSeries[][] = [];
  for (const { observations } of records) {
    const flagged = flagObservations(observations, prior);
    const first = flagged.charges[0]?.[0];
    if (first) units.push(seriesOf(flagged, first.day));
  }
  const errors = errorModel(units, prior.wanderPerYear);
  if (!errors) return null;
  const { readingSd, wanderPerYear, degreesOfFreedom } = errors;
  // a Student t distribution is wider than its scale
  const excess = degreesOfFreedom / (degreesOfFreedom - 2);
  const losses: StudyEstimate[] = [];
  for (const unit of units) {
    const value = lossOf(unit, wanderPerYear);
    if (value)
      losses.push({ value: value.loss, variance: (readingSd * readingSd * excess) / value.precision });
  }
  if (losses.length < FEWEST_UNITS) return null;
  const effects = randomEffects(losses);
  const stated = prior.logLossPerYear;
  const [ofUnits, ofPrior] = [1 / effects.standardError ** 2, 1 / stated.sd ** 2];
  const between =
    ((losses.length - 1) * effects.betweenVariance + UNITS_BEHIND_THE_PRIOR * stated.sd ** 2) /
    (losses.length - 1 + UNITS_BEHIND_THE_PRIOR);
  const mean = (ofUnits * effects.mean + ofPrior * stated.mean) / (ofUnits + ofPrior);
  return {
    logLossPerYear: { mean, sd: Math.sqrt((between + 1 / (ofUnits + ofPrior)) / excess) },
    readingSd,
    wanderPerYear,
    degreesOfFreedom,
    fastestLogLossPerYear: prior.fastestLogLossPerYear,
    widening: 1,
    units: losses.length,
  };
}

// By the unit's own readings alone; two of one charge are enough, without an estimate of their error.
function lossOf(unit: readonly ChargeSeries[], wanderPerYear: number) {
  const fit = decayPosterior(unit, { ...flatPrior(wanderPerYear), degreesOfFreedom: 2 });
  return fit && { loss: fit.posterior.loss, precision: fit.posterior.lossPrecision };
}

function wideningOf(trials: readonly PrechargeTrial[]): number {
  if (trials.length < FEWEST_TRIALS) return 1;
  return Math.max(
    1,
    quantile(
      trials.map(({ reach }) => reach),
      NOMINAL_COVERAGE,
    ),
  );
}
