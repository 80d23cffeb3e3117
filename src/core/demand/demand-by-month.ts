import { CalendarDate } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';
import { DemandItem } from './demand-item';
import { dueCurve } from './due-curve';
import { latticeMoments, poissonBinomial, sumDistribution } from './lattice-distribution';
import { monthBuckets } from './month-buckets';
import { MonthlyOccurrences, occurrencesByMonth } from './occurrences-by-month';
import { DemandFigure, WeightedCount, weightedSum } from './weighted-sum';

/** What one month asks for. Tasks and consumables are the same in every month, in order of their names. */
export interface MonthlyDemand {
  /** `YYYY-MM`. */
  readonly month: string;
  readonly fromOn: CalendarDate;
  /** Exclusive. */
  readonly untilOn: CalendarDate;
  /** Number of times that each task is done. */
  readonly tasks: readonly (DemandFigure & { readonly task: string })[];
  /** Minutes of all tasks whose labour is known. */
  readonly labourMinutes: DemandFigure;
  /** Expected number of tasks whose labour is not known, and which the minutes leave out. */
  readonly expectedWithoutLabour: number;
  readonly consumables: readonly (DemandFigure & { readonly item: string; readonly unit: string })[];
}

const MINUTE_GRID = 1;
/** A millilitre, a litre of gas, a gram. */
const CONSUMABLE_GRID = 0.001;

/**
 * Expected number and 90 % band, month by month, of tasks, labour minutes and consumables.
 *
 * Each item counts with the probability of falling due in the month (see `dueCurve` and
 * `occurrencesByMonth`), not as one in the month of its median. Items are independent of each other; what
 * would move all of them together, such as a year of more kilometres than forecast, is not in the band. The
 * numbers are Poisson-binomial and exact; quantities are exact sums on a grid of 1 minute and of 0.001 of a
 * consumable's unit, or marked `rounded` (see `weightedSum`). Bands of months must not be added up: they are
 * those of each month alone.
 *
 * @param fromOn first day; what is overdue by then counts in the first month
 * @param months number of calendar months, the first one cut off at `fromOn`
 * @throws InputError naming `fromOn`, `months` or the part of an item that cannot be used
 */
export function demandByMonth(
  items: readonly DemandItem[],
  fromOn: CalendarDate,
  months: number,
): MonthlyDemand[] {
  const buckets = monthBuckets(fromOn, months);
  const profiles = [...profilesOf(items).values()].map(({ sample, members }) => {
    const occurrences = members.map((index) => {
      const { fallsDue, repeatsEveryDays } = items[index] as DemandItem;
      const curve = dueCurve(fallsDue, `items[${index}].fallsDue`);
      return occurrencesByMonth(curve, repeatsEveryDays, buckets);
    });
    return {
      sample,
      quantities: quantitiesOf(sample),
      byMonth: buckets.map((_, month) =>
        countOf(occurrences.map((byMonth) => byMonth[month] as MonthlyOccurrences)),
      ),
    };
  });
  const tasks = [...new Set(items.map(({ task }) => task))].sort();
  const materials = materialsOf(items);

  return buckets.map(({ month, fromOn, untilOn }, index) => {
    const figure = (grid: number, weightOf: (profile: (typeof profiles)[number]) => number): DemandFigure => {
      const terms: WeightedCount[] = [];
      for (const profile of profiles) {
        const weight = weightOf(profile);
        const count = profile.byMonth[index];
        if (weight > 0 && count) terms.push({ weight, ...count });
      }
      return weightedSum(terms, grid);
    };
    return {
      month,
      fromOn,
      untilOn,
      tasks: tasks.map((task) => ({ task, ...figure(1, ({ sample }) => (sample.task === task ? 1 : 0)) })),
      labourMinutes: figure(MINUTE_GRID, ({ sample }) => sample.labourMinutes ?? 0),
      expectedWithoutLabour: profiles.reduce(
        (sum, { sample, byMonth }) => sum + (sample.labourMinutes === null ? (byMonth[index]?.mean ?? 0) : 0),
        0,
      ),
      consumables: materials.map(({ key, item, unit }) => ({
        item,
        unit,
        ...figure(CONSUMABLE_GRID, ({ quantities }) => quantities.get(key) ?? 0),
      })),
    };
  });
}

interface Profile {
  readonly sample: DemandItem;
  /** Indices of the items. */
  readonly members: number[];
}

// items that take the same are one group, whose number has one distribution
function profilesOf(items: readonly DemandItem[]): Map<string, Profile> {
  const profiles = new Map<string, Profile>();
  items.forEach((item, index) => {
    requireUsable(item, `items[${index}]`);
    const key = JSON.stringify([
      item.task,
      item.labourMinutes,
      item.consumables.map(({ item: name, unit, quantity }) => [name, unit, quantity]),
    ]);
    const profile = profiles.get(key);
    if (profile) profile.members.push(index);
    else profiles.set(key, { sample: item, members: [index] });
  });
  return profiles;
}

function requireUsable(item: DemandItem, field: string): void {
  const { code, labourMinutes, consumables, repeatsEveryDays } = item;
  if (labourMinutes !== null && !(labourMinutes >= 0 && labourMinutes < Infinity)) {
    throw new InputError(
      `${field}.labourMinutes`,
      `${code}: ${labourMinutes} are no labour minutes`,
      'give 0 or more, or null',
    );
  }
  if (repeatsEveryDays !== null && !(repeatsEveryDays >= 1 && repeatsEveryDays < Infinity)) {
    throw new InputError(
      `${field}.repeatsEveryDays`,
      `${code}: ${repeatsEveryDays} is no interval in days`,
      'give 1 day or more, or null',
    );
  }
  consumables.forEach(({ item: name, quantity }, index) => {
    if (quantity >= 0 && quantity < Infinity) return;
    throw new InputError(
      `${field}.consumables[${index}].quantity`,
      `${code}: ${quantity} is no quantity of ${name}`,
      'give 0 or more',
    );
  });
}

function countOf(occurrences: readonly MonthlyOccurrences[]): Omit<WeightedCount, 'weight'> {
  const once: number[] = [];
  let mean = 0;
  let variance = 0;
  for (const each of occurrences) {
    if (typeof each !== 'number') continue;
    once.push(each);
    mean += each;
    variance += each * (1 - each);
  }
  let counts = poissonBinomial(once);
  for (const each of occurrences) {
    if (typeof each === 'number') continue;
    const moments = latticeMoments(each);
    mean += moments.mean;
    variance += moments.variance;
    counts = sumDistribution(counts, each);
  }
  return { counts, mean, variance };
}

function materialKey(item: string, unit: string): string {
  return JSON.stringify([item, unit]);
}

function quantitiesOf({ consumables }: DemandItem): Map<string, number> {
  const quantities = new Map<string, number>();
  for (const { item, unit, quantity } of consumables) {
    const key = materialKey(item, unit);
    quantities.set(key, (quantities.get(key) ?? 0) + quantity);
  }
  return quantities;
}

function materialsOf(items: readonly DemandItem[]): { key: string; item: string; unit: string }[] {
  const materials = new Map<string, { key: string; item: string; unit: string }>();
  for (const { consumables } of items) {
    for (const { item, unit } of consumables) {
      const key = materialKey(item, unit);
      materials.set(key, { key, item, unit });
    }
  }
  return [...materials.values()].sort((a, b) => (a.key < b.key ? -1 : a.key > b.key ? 1 : 0));
}
