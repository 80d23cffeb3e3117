import { inWords } from '../../format/words';
import type { components } from '../../generated/contract';

type Schemas = components['schemas'];
export type Demand = Schemas['DemandDto'];
type Figure = Schemas['DemandFigureDto'];

/** One thing that is asked for, month by month; null in a month that says nothing of it. */
export interface DemandSeries {
  key: string;
  kind: 'labour' | 'task' | 'consumable' | 'unit';
  name: string;
  unit: string;
  digits: number;
  months: (Figure | null)[];
}

/** Its name as people say it; types of gas units keep their codes, which are what is ordered. */
export const seriesWords = ({ kind, name }: Pick<DemandSeries, 'kind' | 'name'>): string =>
  kind === 'consumable' || kind === 'task' ? inWords(name) : name;

/** Labour first, then consumables, gas units and tasks, each in order of name. */
export function demandSeries({ months }: Demand): DemandSeries[] {
  const labour: DemandSeries = {
    key: 'labour',
    kind: 'labour',
    name: 'Labour',
    unit: 'h',
    digits: 1,
    months: months.map(({ labourMinutes: { expected, low, high, band } }) => ({
      expected: expected / 60,
      low: low / 60,
      high: high / 60,
      band,
    })),
  };
  const collected = <Line extends Figure>(
    kind: DemandSeries['kind'],
    linesOf: (month: Demand['months'][number]) => readonly Line[],
    nameOf: (line: Line) => { name: string; unit: string; digits: number },
  ): DemandSeries[] => {
    const all = new Map<string, DemandSeries>();
    months.forEach((month, at) => {
      for (const line of linesOf(month)) {
        const { name, unit, digits } = nameOf(line);
        const key = `${kind} ${name} ${unit}`;
        const series = all.get(key) ?? { key, kind, name, unit, digits, months: months.map(() => null) };
        series.months[at] = line;
        all.set(key, series);
      }
    });
    return [...all.values()].sort((a, b) => (a.name < b.name ? -1 : 1));
  };
  return [
    labour,
    ...collected(
      'consumable',
      ({ consumables }) => consumables,
      ({ item, unit }) => ({
        name: item,
        unit,
        digits: unit === 'piece' ? 0 : 2,
      }),
    ),
    ...collected(
      'unit',
      ({ units }) => units,
      ({ unitTypeCode }) => ({
        name: unitTypeCode ?? 'gas unit of a type that is not on record',
        unit: 'gas units',
        digits: 1,
      }),
    ),
    ...collected(
      'task',
      ({ tasks }) => tasks,
      ({ task }) => ({ name: task, unit: 'times', digits: 1 }),
    ),
  ];
}

/** Prices by the key of a series: hundredths for one of its unit. */
export type Prices = Readonly<Record<string, number>>;

export interface MonthlyMoney {
  expected: number;
  low: number;
  high: number;
}

/**
 * What each month will cost, in hundredths. Its ends add the ends of what is priced. That all of it is low, or high, at once
 * is less likely than either alone, so as a rule the band is wider than it had to be.
 */
export function monthlyMoney(
  series: readonly DemandSeries[],
  prices: Prices,
  months: number,
): MonthlyMoney[] {
  return Array.from({ length: months }, (_, at) => {
    const sum = (end: 'expected' | 'low' | 'high'): number =>
      Math.round(
        series.reduce((money, each) => money + (each.months[at]?.[end] ?? 0) * (prices[each.key] ?? 0), 0),
      );
    return { expected: sum('expected'), low: sum('low'), high: sum('high') };
  });
}

/** The figures as a table by RFC 4180, a line for each month and thing. Numbers with a point, for other programs. */
export function demandCsv(demand: Demand): string {
  const head = ['month', 'fromOn', 'untilOn', 'kind', 'name', 'unit', 'expected', 'low', 'high', 'band'];
  const lines = demandSeries(demand).flatMap(({ kind, name, unit, months }) =>
    months.flatMap((figure, at) => {
      const month = demand.months[at];
      if (figure === null || month === undefined) return [];
      const { expected, low, high, band } = figure;
      return [[month.month, month.fromOn, month.untilOn, kind, name, unit, expected, low, high, band]];
    }),
  );
  return [head, ...lines].map((line) => `${line.map(csvField).join(',')}\r\n`).join('');
}

function csvField(value: string | number): string {
  if (typeof value === 'number') return String(value);
  // a sheet would take what begins like this for a formula
  const safe = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
