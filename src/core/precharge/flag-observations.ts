import { fromEpochDay } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';
import { ATMOSPHERE_BAR, PSI_BAR } from '../shared/units-of-measure';
import type { PrechargeModel, PrechargeObservation } from './precharge-model';

/** A year of the calendar on average, days. */
export const DAYS_PER_YEAR = 365.25;

/** Why an observation is not used. */
export type LeftOutCode =
  | 'rise-without-charge'
  | 'fall-too-fast'
  /** Later readings agree with each other and not with this one: the unit is no longer what it was. */
  | 'before-unrecorded-charge'
  | 'before-sudden-loss';

/** An observation that is kept on record and not used. */
export interface LeftOutObservation {
  readonly id: string;
  readonly code: LeftOutCode;
  readonly sentence: string;
}

/** Observations by charge, earliest first, and those that are left out. */
export interface FlaggedObservations {
  /** None of them empty. */
  readonly charges: readonly (readonly PrechargeObservation[])[];
  readonly leftOut: readonly LeftOutObservation[];
}

// Standard deviations of the difference of two readings beyond which it is not taken for an error of reading.
const BEYOND_ERROR = 4;
const CLOSE = 0.08;
const NONE_LEFT_OUT: readonly LeftOutObservation[] = [];

/**
 * Splits a unit's observations by charge and leaves out those that cannot be true beside the others.
 *
 * Between any two readings of one charge the pressure cannot rise, nor fall faster than the model's fastest loss,
 * both beyond four standard deviations of their difference. Where two contradict each other, the longest run of
 * readings that agree tells which is wrong; between runs of the same length the one that is closest to the
 * usual loss, and then the earlier. When two or more readings at the end agree with each other and not with
 * that run, or all lie too far below it, the unit has changed: the end stands, and what came before is left out.
 *
 * @param observations in any order; those of one day in the order in which they were made
 * @throws InputError naming `precharge20BarGauge` for an absolute pressure that is not above zero
 */
export function flagObservations(
  observations: readonly PrechargeObservation[],
  model: PrechargeModel,
): FlaggedObservations {
  const charges: PrechargeObservation[][] = [];
  let current: PrechargeObservation[] = [];
  for (const observation of inOrder(observations)) {
    if (
      !(observation.precharge20BarGauge > -ATMOSPHERE_BAR) ||
      observation.precharge20BarGauge === Infinity
    ) {
      throw new InputError(
        'precharge20BarGauge',
        `${observation.precharge20BarGauge} bar gauge is no pressure above a vacuum`,
        `give the precharge in bar gauge, above -${ATMOSPHERE_BAR}`,
      );
    }
    if (observation.kind === 'charge' || current.length === 0) {
      current = [];
      charges.push(current);
    }
    current.push(observation);
  }
  if (charges.every((charge) => agreesThroughout(charge, model))) return { charges, leftOut: NONE_LEFT_OUT };
  const leftOut: LeftOutObservation[] = [];
  const kept = charges.map((charge) => keepAgreeing(charge, model, leftOut));
  return { charges: kept, leftOut };
}

/** Natural logarithm of the absolute pressure of a precharge in bar gauge. */
export function logPressure(precharge20BarGauge: number): number {
  return Math.log(precharge20BarGauge + ATMOSPHERE_BAR);
}

function inOrder(observations: readonly PrechargeObservation[]): readonly PrechargeObservation[] {
  for (let i = 1; i < observations.length; i++) {
    if ((observations[i] as PrechargeObservation).day < (observations[i - 1] as PrechargeObservation).day)
      return [...observations].sort((a, b) => a.day - b.day);
  }
  return observations;
}

// Every pair counts, not neighbours alone: a slow rise hides in steps that each could be an error of reading.
function agreesThroughout(charge: readonly PrechargeObservation[], model: PrechargeModel): boolean {
  for (let i = 1; i < charge.length; i++) {
    for (let j = 0; j < i; j++) {
      if (contradiction(charge[j] as PrechargeObservation, charge[i] as PrechargeObservation, model))
        return false;
    }
  }
  return true;
}

/** How the later of two readings of one charge contradicts the earlier one; null for not at all. */
function contradiction(
  earlier: PrechargeObservation,
  later: PrechargeObservation,
  model: PrechargeModel,
): 'rise' | 'fall' | null {
  const years = (later.day - earlier.day) / DAYS_PER_YEAR;
  const rise = logPressure(later.precharge20BarGauge) - logPressure(earlier.precharge20BarGauge);
  const error = BEYOND_ERROR * differenceSd(model, years);
  if (rise > error) return 'rise';
  return -rise > model.fastestLogLossPerYear * years + error ? 'fall' : null;
}

function differenceSd(model: PrechargeModel, years: number): number {
  return model.readingSd * model.widening * Math.sqrt(2 + model.wanderPerYear * years);
}

interface Run {
  readonly members: readonly number[];
  /** How far it is from the usual loss: squared standard deviations, summed. */
  readonly oddness: number;
}

function keepAgreeing(
  charge: readonly PrechargeObservation[],
  model: PrechargeModel,
  leftOut: LeftOutObservation[],
): PrechargeObservation[] {
  const runs = runsByEnd(charge, model);
  let best = runs[0] as Run;
  for (const run of runs) if (isBetter(run, best)) best = run;
  const bestEnd = best.members.at(-1) as number;
  const lastRun = runs.at(-1) as Run;
  const tail = charge.slice(bestEnd + 1);
  const agrees = lastRun.members.filter((place) => place > bestEnd).length >= 2;
  // two readings of a unit that empties need not agree with each other to say that it does
  const empties =
    tail.length >= 2 &&
    tail.every((each) => contradiction(charge[bestEnd] as PrechargeObservation, each, model) === 'fall');
  const kept = agrees || empties ? lastRun.members : best.members;
  explain(charge, kept, model, leftOut);
  return kept.map((place) => charge[place] as PrechargeObservation);
}

// The best run that ends at each reading: every member agrees with all others. What a reading contradicts
// cuts the run that it joins.
function runsByEnd(charge: readonly PrechargeObservation[], model: PrechargeModel): Run[] {
  const runs: Run[] = [];
  charge.forEach((later, i) => {
    let best: Run = { members: [i], oddness: 0 };
    for (let j = 0; j < i; j++) {
      const { members } = runs[j] as Run;
      const cut = members.findLastIndex(
        (place) => contradiction(charge[place] as PrechargeObservation, later, model) !== null,
      );
      const run = runOf([...members.slice(cut + 1), i], charge, model);
      if (isBetter(run, best)) best = run;
    }
    runs.push(best);
  });
  return runs;
}

function runOf(
  members: readonly number[],
  charge: readonly PrechargeObservation[],
  model: PrechargeModel,
): Run {
  let odd = 0;
  for (let i = 1; i < members.length; i++) {
    const [before, after] = [members[i - 1] as number, members[i] as number];
    odd += oddness(charge[before] as PrechargeObservation, charge[after] as PrechargeObservation, model);
  }
  return { members, oddness: odd };
}

function isBetter(run: Run, than: Run): boolean {
  const longer = run.members.length - than.members.length;
  return longer > 0 || (longer === 0 && run.oddness < than.oddness);
}

function oddness(earlier: PrechargeObservation, later: PrechargeObservation, model: PrechargeModel): number {
  const years = (later.day - earlier.day) / DAYS_PER_YEAR;
  const loss = logPressure(earlier.precharge20BarGauge) - logPressure(later.precharge20BarGauge);
  const sd = Math.hypot(differenceSd(model, years), model.logLossPerYear.sd * years);
  return ((loss - model.logLossPerYear.mean * years) / sd) ** 2;
}

// `kept` holds the places of the readings that stand, at least one.
function explain(
  charge: readonly PrechargeObservation[],
  kept: readonly number[],
  model: PrechargeModel,
  leftOut: LeftOutObservation[],
): void {
  charge.forEach((observation, i) => {
    if (kept.includes(i)) return;
    const contradicts = (place: number | undefined): boolean => {
      if (place === undefined) return false;
      const [one, other] = place < i ? [place, i] : [i, place];
      return (
        contradiction(charge[one] as PrechargeObservation, charge[other] as PrechargeObservation, model) !==
        null
      );
    };
    // the closest reading that this one contradicts, else the closest
    const before =
      kept.findLast((place) => place < i && contradicts(place)) ?? kept.findLast((place) => place < i);
    const after = kept.find((place) => place > i && contradicts(place)) ?? kept.find((place) => place > i);
    const earlier = before === undefined ? null : (charge[before] as PrechargeObservation);
    const later = after === undefined ? null : (charge[after] as PrechargeObservation);
    const reference = (contradicts(before) || !later ? earlier : later) as PrechargeObservation;
    const rises =
      reference === later
        ? later.precharge20BarGauge > observation.precharge20BarGauge
        : observation.precharge20BarGauge > reference.precharge20BarGauge;
    const isConfirmed = earlier === null;
    const code: LeftOutCode = rises
      ? isConfirmed
        ? 'before-unrecorded-charge'
        : 'rise-without-charge'
      : isConfirmed
        ? 'before-sudden-loss'
        : 'fall-too-fast';
    leftOut.push({ id: observation.id, code, sentence: sentenceFor(code, observation, reference) });
  });
}

function sentenceFor(
  code: LeftOutCode,
  observation: PrechargeObservation,
  reference: PrechargeObservation,
): string {
  const [one, other] = [shown(observation), shown(reference)];
  const mixUp = likelyMixUp(observation, reference);
  switch (code) {
    case 'before-unrecorded-charge':
      return `${one} is lower than the later readings, which agree with each other (${other}). Record the charge between them.`;
    case 'before-sudden-loss':
      return `${one} is so far above the later readings, which stand (${other}), that the unit has changed since.`;
    case 'rise-without-charge':
      return `${one} does not agree with ${other}: precharge does not rise, and no charge is recorded between them.${mixUp} Record the charge or test again.`;
    case 'fall-too-fast':
      return `${one} does not agree with ${other}: gas does not pass a whole diaphragm that fast.${mixUp} Test again; if it is right, the unit has failed.`;
  }
}

function shown(observation: PrechargeObservation): string {
  return `${observation.precharge20BarGauge.toFixed(1)} bar on ${fromEpochDay(observation.day)}`;
}

function likelyMixUp(observation: PrechargeObservation, reference: PrechargeObservation): string {
  const ratio = observation.precharge20BarGauge / reference.precharge20BarGauge;
  const isClose = (factor: number): boolean => Math.abs(Math.log(ratio / factor)) < CLOSE;
  if (!(ratio > 0)) return '';
  if (isClose(1 / PSI_BAR)) return ' It may have been read in pounds per square inch.';
  if (isClose(0.1)) return ' It may have been read in megapascals.';
  return ' It may be the reading of another unit.';
}
