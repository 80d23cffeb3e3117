import { flagObservations } from '../../../src/core/precharge/flag-observations';
import { forecastPrecharge } from '../../../src/core/precharge/forecast-precharge';
import {
  defaultPrechargeModel,
  type PrechargeObservation,
} from '../../../src/core/precharge/precharge-model';

const MODEL = defaultPrechargeModel();
const YEAR = 365;

// a charge and yearly tests, named a, b, c, ...
function yearly(...bars: number[]): PrechargeObservation[] {
  return bars.map((precharge20BarGauge, i) => ({
    id: 'abcdefgh'.charAt(i),
    day: 20_000 + YEAR * i,
    kind: i === 0 ? 'charge' : 'precharge-test',
    precharge20BarGauge,
  }));
}

function leftOut(...bars: number[]): [string, string][] {
  const flagged = flagObservations(yearly(...bars), MODEL);
  const kept = flagged.charges.flat().length;
  expect(kept + flagged.leftOut.length).toBe(bars.length);
  return flagged.leftOut.map(({ id, code }) => [id, code]);
}

test('readings that only scatter are all used', () => {
  expect(leftOut(55, 53, 53.4, 50, 48)).toEqual([]);
});

test('a rise without a charge: the later one is left out while nothing else tells', () => {
  expect(leftOut(55, 61)).toEqual([['b', 'rise-without-charge']]);
});

test('a later reading tells which of two is wrong', () => {
  expect(leftOut(55, 61, 51)).toEqual([['b', 'rise-without-charge']]);
  expect(leftOut(55, 45, 51, 49)).toEqual([['b', 'rise-without-charge']]);
  expect(leftOut(55, 53, 20, 49)).toEqual([['c', 'fall-too-fast']]);
});

test('later readings that agree show that the unit has changed', () => {
  expect(leftOut(45, 56, 54)).toEqual([['a', 'before-unrecorded-charge']]);
  expect(leftOut(55, 53, 51, 5, 4.8)).toEqual([
    ['a', 'before-sudden-loss'],
    ['b', 'before-sudden-loss'],
    ['c', 'before-sudden-loss'],
  ]);
});

test('a unit that empties faster and faster is not taken for a sound one', () => {
  expect(leftOut(55, 22, 9)).toEqual([
    ['a', 'before-sudden-loss'],
    ['b', 'before-sudden-loss'],
  ]);
});

test('a fall that no whole diaphragm allows says that the unit may have failed', () => {
  const { leftOut: flags } = flagObservations(yearly(55, 53, 12), MODEL);
  expect(flags).toHaveLength(1);
  expect(flags[0]?.sentence).toMatch(/^12\.0 bar on 2026-10-04 .* the unit has failed\.$/);
});

test.each([
  [55 * 14.5, /pounds per square inch/],
  [5.4, /megapascals/],
  [62, /another unit/],
])('%p bar: a likely explanation', (bar, explanation) => {
  const { leftOut: flags } = flagObservations(yearly(55, bar), MODEL);
  expect(flags.map(({ sentence }) => sentence)).toEqual([expect.stringMatching(explanation)]);
});

test('what is left out does not move the forecast, and is named in it', () => {
  const question = { limit20BarGauge: 44 };
  const clean = yearly(55, 53, 51, 49);
  const wrong: PrechargeObservation = {
    ...clean[1]!,
    id: 'wrong',
    day: clean[1]!.day + 100,
    precharge20BarGauge: 70,
  };
  const without = forecastPrecharge(clean, MODEL, question)!;
  const withWrong = forecastPrecharge([...clean, wrong], MODEL, question)!;
  expect(withWrong.belowLimit).toEqual(without.belowLimit);
  expect(withWrong.leftOut.map(({ id }) => id)).toEqual(['wrong']);
  expect(withWrong.used).toEqual(['a', 'b', 'c', 'd']);
});

test('a recorded charge allows the rise', () => {
  const recharged = yearly(55, 53, 55, 53).map((each, i): PrechargeObservation =>
    i === 2 ? { ...each, kind: 'charge' } : each,
  );
  const flagged = flagObservations(recharged, MODEL);
  expect(flagged.leftOut).toEqual([]);
  expect(flagged.charges.map((each) => each.length)).toEqual([2, 2]);
});
