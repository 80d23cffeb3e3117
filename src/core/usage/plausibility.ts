import { fromEpochDay, type EpochDay } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';
import { MILE_KM } from '../shared/units-of-measure';
import { meterAmount } from './meter-amount';
import { inTrackUnit, type ReadingUnit } from './meter-track';
import { type Correction, likelyCorrections, type Mistake } from './reading-mistakes';
import { totalAt, type UsageForecast } from './usage-forecast';

/** A reading as somebody enters it; `day` is the local day of the instant `at` (milliseconds). */
export interface EnteredReading {
  readonly value: number;
  readonly unit: ReadingUnit;
  readonly at: number;
  readonly day: EpochDay;
  /** False for a reading that a machine sent: nobody typed it, so nobody swapped digits. Default true. */
  readonly typedByHand?: boolean;
}

/** What is known when a reading is entered. */
export interface PlausibilityContext {
  /** Instant of entry, milliseconds. */
  readonly now: number;
  /** Accepted readings of the same instrument, in any order. */
  readonly accepted: readonly EnteredReading[];
  /** Most that the duty class does in a day, km or h; see `DEFAULT_DAILY_MAXIMUM`. */
  readonly dailyMaximum: number;
  /** Forecast from earlier readings, and what is added to this instrument's value to give the total. */
  readonly forecast?: UsageForecast | null;
  readonly instrumentOffset?: number;
}

/** What is wrong with the reading as it stands, or what probably happened. */
export type Suspicion =
  | 'future-instant'
  | 'below-previous'
  | 'above-next'
  | 'above-daily-maximum'
  | 'next-above-daily-maximum'
  | 'unlike-usage'
  | Mistake
  | 'likely-instrument-replaced';

/** The judgement of one reading. A quarantined reading counts for nothing until a person accepts it. */
export interface Judgement {
  readonly verdict: 'accepted' | 'quarantined';
  readonly suspicions: readonly Suspicion[];
  /** For each suspicion, in the same order, a plain sentence with the numbers. */
  readonly sentences: readonly string[];
  /** The sentences as one text; empty when there is nothing to say. */
  readonly explanation: string;
  /** What the reading probably was, when one correction is clearly likely. */
  readonly suggested: { readonly value: number; readonly unit: ReadingUnit } | null;
}

/** A clock may be this far ahead without a reading being one from the future. */
export const CLOCK_TOLERANCE_MINUTES = 15;
/** Instruments show whole units; one source rounds and another cuts off. */
export const ROUNDING_TOLERANCE = 1;

const MILLISECONDS_PER_DAY = 86_400_000;
// A new instrument starts near zero, however little the vehicle has done on it.
const NEW_INSTRUMENT_SHARE = 0.1;

/**
 * Judges a reading against the accepted ones just before and after it in time, the daily maximum and the
 * usage forecast.
 *
 * Quarantined: from the future; below the one before or above the one after by more than
 * `ROUNDING_TOLERANCE`; further from either than the daily maximum allows (a part of a day counts as a
 * day); or outside the forecast's 99.8 % interval while one correction lies inside its middle 80 %. Unusual
 * use alone is only remarked on: a vehicle may change its ways. Corrections tried: the other unit, one
 * digit too many or too few, two neighbouring digits swapped, a new instrument. For a reading that nobody
 * typed, unusual use is only ever a remark.
 *
 * @throws InputError when the value is not a number of at least zero, or hours are mixed with distances
 */
export function judgeReading(reading: EnteredReading, context: PlausibilityContext): Judgement {
  requireComparable(reading, context.accepted);
  const { before, after } = neighbours(reading, context.accepted);
  const bounds = boundsOf(reading, before, after, context);
  const value = inTrackUnit(reading.value, reading.unit);
  const suspicions: Suspicion[] = [];
  const sentences: string[] = [];
  const note = (suspicion: Suspicion, sentence: string): void => {
    suspicions.push(suspicion);
    sentences.push(sentence);
  };
  if (reading.at > context.now + CLOCK_TOLERANCE_MINUTES * 60_000) {
    note('future-instant', `The reading is dated ${fromEpochDay(reading.day)}, which is still to come.`);
  }
  if (before && value < bounds.previous - bounds.tolerance) {
    note('below-previous', `${show(reading)} is below the accepted ${show(before)} of ${on(before)}.`);
  } else if (before && value > bounds.highestByUse) {
    note('above-daily-maximum', tooFast(before, reading, bounds.daysBefore, context.dailyMaximum));
  }
  if (after && value > bounds.next + bounds.tolerance) {
    note('above-next', `${show(reading)} is above the accepted ${show(after)} of ${on(after)}.`);
  } else if (after && value < bounds.lowestByUse) {
    note('next-above-daily-maximum', tooFast(reading, after, bounds.daysAfter, context.dailyMaximum));
  }
  const impossible = suspicions.some((suspicion) => suspicion !== 'future-instant');
  const unlike = expectation(reading, context, 0.001);
  // the forecast counts whole days, and the reading may come before the day's work
  const dayOfUse = context.forecast?.ratePerDay ?? 0;
  const isUnlike = unlike !== null && (value < unlike.low - dayOfUse || value > unlike.high + dayOfUse);
  if (!impossible && !isUnlike) return judgement(suspicions, sentences, suspicions.length > 0, null);
  if (isUnlike) {
    const unit = reading.unit === 'h' ? 'h' : 'km';
    note(
      'unlike-usage',
      `By its use so far the instrument should show ${meterAmount(unlike.low, unit)} to ${meterAmount(unlike.high, unit)}.`,
    );
  }
  // a machine slips no digit: what it sends may be unusual, for a vehicle stood still, but it is as it says
  if (!impossible && reading.typedByHand === false) {
    return judgement(suspicions, sentences, suspicions.includes('future-instant'), null);
  }
  const likely = expectation(reading, context, 0.1) ?? { low: 0, high: Infinity };
  const corrections = likelyCorrections(reading.value, reading.unit).filter((correction) => {
    const corrected = inTrackUnit(correction.value, correction.unit);
    return (
      corrected >= Math.max(bounds.previous, bounds.lowestByUse, likely.low) - bounds.tolerance &&
      corrected <= Math.min(bounds.next, bounds.highestByUse, likely.high) + bounds.tolerance
    );
  });
  corrections.sort((a, b) => Number(b.isDoubledDigit) - Number(a.isDoubledDigit));
  for (const correction of corrections) {
    if (!suspicions.includes(correction.mistake)) note(correction.mistake, correction.sentence);
  }
  const isNew = impossible && corrections.length === 0 && before !== null && looksNew(value, bounds, context);
  if (isNew) {
    note(
      'likely-instrument-replaced',
      `${show(reading)} is what a new instrument would show after ${on(before)}: record the replacement.`,
    );
  }
  const doubled = corrections.filter((correction) => correction.isDoubledDigit);
  const only = theOnly(corrections) ?? theOnly(doubled);
  return judgement(
    suspicions,
    sentences,
    suspicions.includes('future-instant') || impossible || corrections.length > 0,
    only ? { value: only.value, unit: only.unit } : null,
  );
}

function theOnly(corrections: readonly Correction[]): Correction | null {
  const distinct = new Set(corrections.map(({ value, unit }) => `${value} ${unit}`));
  return distinct.size === 1 ? (corrections[0] ?? null) : null;
}

interface Bounds {
  readonly previous: number;
  readonly next: number;
  readonly highestByUse: number;
  readonly lowestByUse: number;
  readonly daysBefore: number;
  readonly daysAfter: number;
  readonly tolerance: number;
}

function boundsOf(
  reading: EnteredReading,
  before: EnteredReading | null,
  after: EnteredReading | null,
  { dailyMaximum }: PlausibilityContext,
): Bounds {
  const previous = before ? inTrackUnit(before.value, before.unit) : -Infinity;
  const next = after ? inTrackUnit(after.value, after.unit) : Infinity;
  const daysBefore = before ? wholeDays(reading.at - before.at) : 0;
  const daysAfter = after ? wholeDays(after.at - reading.at) : 0;
  const inMiles = [reading, before, after].some((one) => one?.unit === 'mi');
  const tolerance = ROUNDING_TOLERANCE * (inMiles ? MILE_KM : 1);
  return {
    previous,
    next,
    daysBefore,
    daysAfter,
    tolerance,
    highestByUse: before ? previous + dailyMaximum * daysBefore + tolerance : Infinity,
    lowestByUse: after ? next - dailyMaximum * daysAfter - tolerance : -Infinity,
  };
}

function wholeDays(milliseconds: number): number {
  return Math.max(1, Math.ceil(milliseconds / MILLISECONDS_PER_DAY));
}

function neighbours(reading: EnteredReading, accepted: readonly EnteredReading[]) {
  let before: EnteredReading | null = null;
  let after: EnteredReading | null = null;
  // of several at one instant the one that leaves least room decides, whatever their order
  for (const other of accepted) {
    const higher = (than: EnteredReading): boolean =>
      inTrackUnit(other.value, other.unit) > inTrackUnit(than.value, than.unit);
    if (other.at <= reading.at) {
      if (!before || other.at > before.at || (other.at === before.at && higher(before))) before = other;
    } else if (!after || other.at < after.at || (other.at === after.at && !higher(after))) after = other;
  }
  return { before, after };
}

// What the instrument should show by the forecast; nothing for a day before the forecast begins.
function expectation(reading: EnteredReading, context: PlausibilityContext, tail: number) {
  const { forecast, instrumentOffset = 0 } = context;
  if (!forecast || forecast.ratePerDay <= 0 || reading.day <= forecast.originDay) return null;
  return {
    low: totalAt(forecast, reading.day, tail) - instrumentOffset,
    high: totalAt(forecast, reading.day, 1 - tail) - instrumentOffset,
  };
}

function looksNew(value: number, bounds: Bounds, { dailyMaximum }: PlausibilityContext): boolean {
  return value <= dailyMaximum * bounds.daysBefore && value <= NEW_INSTRUMENT_SHARE * bounds.previous;
}

function judgement(
  suspicions: readonly Suspicion[],
  sentences: readonly string[],
  quarantined: boolean,
  suggested: Judgement['suggested'],
): Judgement {
  return {
    verdict: quarantined ? 'quarantined' : 'accepted',
    suspicions,
    sentences,
    explanation: sentences.join(' '),
    suggested,
  };
}

function requireComparable(reading: EnteredReading, accepted: readonly EnteredReading[]): void {
  if (!Number.isFinite(reading.value) || reading.value < 0) {
    throw new InputError('value', `${reading.value} is not a meter value`, 'give a number of at least zero');
  }
  if (accepted.some((other) => (other.unit === 'h') !== (reading.unit === 'h'))) {
    throw new InputError(
      'unit',
      'hours and distances are mixed',
      'give engine hours as a meter of their own',
    );
  }
}

function tooFast(from: EnteredReading, to: EnteredReading, days: number, dailyMaximum: number): string {
  const unit = from.unit === 'h' ? 'h' : 'km';
  const done = inTrackUnit(to.value, to.unit) - inTrackUnit(from.value, from.unit);
  return (
    `From ${show(from)} (${on(from)}) to ${show(to)} (${on(to)}) is ${meterAmount(done, unit)} ` +
    `in ${days} ${days === 1 ? 'day' : 'days'}; at most ${meterAmount(dailyMaximum, unit)} a day is taken as possible.`
  );
}

function show(reading: EnteredReading): string {
  return meterAmount(reading.value, reading.unit);
}

function on(reading: EnteredReading): string {
  return fromEpochDay(reading.day);
}
