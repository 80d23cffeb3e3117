import { EpochDay, parseCalendarDate, toEpochDay } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';
import { normalCdf, normalQuantile } from '../shared/statistics-normal';
import { DuePoint, FallsDue } from './demand-item';

/** Probability of having fallen due by the end of a whole day; does not fall as the day rises. */
export type DueCurve = (day: EpochDay) => number;

const SCORE_90 = normalQuantile(0.9);

/**
 * The probability of having fallen due by a day.
 *
 * - A fixed date is a step.
 * - Through the 10, 50 and 90 % days runs a line in the normal score (the standard normal quantile of the
 *   probability), straight from one to the next and straight on beyond both ends: half a normal
 *   distribution on either side of the median, each with its own spread. Where two of the days are the
 *   same, the probability jumps there. A 50 % day beyond the forecast is taken to be the end of the forecast,
 *   a 90 % day beyond it as far after the median as the 10 % day is before, and not within the forecast;
 *   what is likely to fall due only after the forecast (a 10 % day beyond it) is not counted at all.
 * - Points of a curve are joined by straight lines in the probability itself; before the first the
 *   probability is 0, after the last it stays.
 *
 * @param field where `fallsDue` stands in the input
 * @throws InputError for a date that does not exist, days or probabilities that fall, a probability outside
 *   0 to 1, no point at all, or a null day without `horizonOn`
 */
export function dueCurve(fallsDue: FallsDue, field: string): DueCurve {
  if (fallsDue.kind === 'fixed') {
    const dueDay = dayOf(fallsDue.on, `${field}.on`);
    return (day) => (day >= dueDay ? 1 : 0);
  }
  if (fallsDue.kind === 'curve') return curveThrough(fallsDue.points, `${field}.points`);
  const { earliestOn, medianOn, latestOn } = fallsDue;
  if ((earliestOn === null && medianOn !== null) || (medianOn === null && latestOn !== null)) {
    throw new InputError(
      field,
      'a day within the forecast follows one beyond it',
      'give null for a day beyond the forecast and for every later one',
    );
  }
  if (earliestOn === null) return () => 0;
  const horizonDay = (): EpochDay => {
    if (fallsDue.horizonOn !== null) return dayOf(fallsDue.horizonOn, `${field}.horizonOn`);
    throw new InputError(
      `${field}.horizonOn`,
      'a day lies beyond the forecast, and the end of the forecast is not given',
      'give the last day of the forecast',
    );
  };
  const earliest = dayOf(earliestOn, `${field}.earliestOn`);
  const median = medianOn === null ? horizonDay() : dayOf(medianOn, `${field}.medianOn`);
  const latest =
    latestOn === null ? Math.max(horizonDay(), 2 * median - earliest) : dayOf(latestOn, `${field}.latestOn`);
  return curveOfQuantiles(earliest, median, latest, field);
}

function curveOfQuantiles(earliest: EpochDay, median: EpochDay, latest: EpochDay, field: string): DueCurve {
  if (earliest > median || median > latest) {
    throw new InputError(
      field,
      'the 10 %, 50 % and 90 % days are not in order',
      'give earliestOn no later than medianOn, and medianOn no later than latestOn',
    );
  }
  return (day) => {
    if (day < median) return earliest === median ? 0 : score((day - median) / (median - earliest));
    return latest === median ? 1 : score((day - median) / (latest - median));
  };
}

function score(share: number): number {
  return normalCdf(SCORE_90 * share);
}

function curveThrough(points: readonly DuePoint[], field: string): DueCurve {
  const days: EpochDay[] = [];
  const probabilities: number[] = [];
  points.forEach(({ on, probability }, index) => {
    const day = dayOf(on, `${field}[${index}].on`);
    if (day <= (days[index - 1] ?? -Infinity)) {
      throw new InputError(
        `${field}[${index}].on`,
        `${on} is not after the point before`,
        'give rising days',
      );
    }
    if (!(probability >= (probabilities[index - 1] ?? 0) && probability <= 1)) {
      throw new InputError(
        `${field}[${index}].probability`,
        `${probability} is below the point before or outside 0 to 1`,
        'give probabilities from 0 to 1 that do not fall',
      );
    }
    days.push(day);
    probabilities.push(probability);
  });
  if (days.length === 0) throw new InputError(field, 'the curve has no points', 'give at least one point');
  return (day) => interpolated(days, probabilities, day);
}

function interpolated(days: readonly EpochDay[], probabilities: readonly number[], day: EpochDay): number {
  let below = -1;
  let above = days.length;
  while (above - below > 1) {
    const middle = (below + above) >>> 1;
    if ((days[middle] as EpochDay) <= day) below = middle;
    else above = middle;
  }
  if (below < 0) return 0;
  const probability = probabilities[below] as number;
  if (above === days.length) return probability;
  const from = days[below] as EpochDay;
  const share = (day - from) / ((days[above] as EpochDay) - from);
  return probability + share * ((probabilities[above] as number) - probability);
}

function dayOf(on: string, field: string): EpochDay {
  return toEpochDay(parseCalendarDate(on, field));
}
