import { parse } from 'csv-parse/sync';
import {
  demandCsv,
  demandSeries,
  monthlyMoney,
  type Demand,
} from '../../../src/desk/pages/planner/demand-figures';

const figure = (expected: number) => ({
  expected,
  low: expected - 1,
  high: expected + 2,
  band: 'exact' as const,
});

const DEMAND = {
  months: [
    {
      month: '2026-12',
      fromOn: '2026-12-01',
      untilOn: '2027-01-01',
      labourMinutes: { expected: 600, low: 540, high: 660, band: 'exact' },
      tasks: [{ task: 'recharge', ...figure(4) }],
      units: [{ unitTypeCode: null, ...figure(3) }],
      consumables: [{ item: '=nitrogen, dry', unit: 'm³', ...figure(1.5) }],
    },
    {
      month: '2027-01',
      fromOn: '2027-01-01',
      untilOn: '2027-02-01',
      labourMinutes: { expected: 60, low: 0, high: 120, band: 'rounded' },
      tasks: [{ task: 'recharge', ...figure(2) }],
      units: [],
      consumables: [],
    },
  ],
} as unknown as Demand;

it('lines up what is asked for, month by month, labour in hours', () => {
  const series = demandSeries(DEMAND);
  expect(series.map(({ kind }) => kind)).toEqual(['labour', 'consumable', 'unit', 'task']);
  expect(series[0]?.months.map((month) => month?.expected)).toEqual([10, 1]);
  expect(series[1]?.months[1]).toBeNull();
  expect(series[2]?.name).toBe('gas unit of a type that is not on record');
});

it('tells the months in money at prices, of what has one', () => {
  const series = demandSeries(DEMAND);
  const key = series[1]?.key ?? '';
  expect(monthlyMoney(series, { labour: 5_000, [key]: 1_000 }, 2)).toEqual([
    { expected: 51_500, low: 45_500, high: 58_500 },
    { expected: 5_000, low: 0, high: 10_000 },
  ]);
});

it('writes a table that a reader of RFC 4180 takes back, and no sheet takes for formulas', () => {
  const rows = parse<Record<string, string>>(demandCsv(DEMAND), { columns: true });
  expect(rows).toHaveLength(6);
  expect(rows.find(({ kind }) => kind === 'consumable')).toMatchObject({
    month: '2026-12',
    name: "'=nitrogen, dry",
    unit: 'm³',
    expected: '1.5',
  });
  expect(demandCsv(DEMAND).endsWith('\r\n')).toBe(true);
});
