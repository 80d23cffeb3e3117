import fc from 'fast-check';
import { toEpochDay } from '../../../src/core/shared/calendar-date';
import {
  dayReached,
  inTrackUnit,
  type MeterReading,
  meterTrack,
  type ReadingUnit,
  totalOfValue,
  totalOn,
} from '../../../src/core/usage/meter-track';
import type { UsageForecast } from '../../../src/core/usage/usage-forecast';

let count = 0;
function reading(day: number, value: number, unit: ReadingUnit = 'km'): MeterReading {
  return { id: String(count++), day, value, unit };
}

test('a changed instrument does not lose what was travelled: 81,250 + (3,412 - 12) = 84,650 km', () => {
  const track = meterTrack(
    [reading(100, 80_000), reading(190, 3_412)],
    [{ day: 120, oldFinalValue: 81_250, oldUnit: 'km', newInitialValue: 12, newUnit: 'km' }],
  );
  expect(track).toEqual([
    { day: 100, total: 80_000 },
    { day: 120, total: 81_250 },
    { day: 190, total: 84_650 },
  ]);
});

// GNU units 2.22: 62137 mi = 99999.808128 km; 1 mile = 1.609344 km by definition
test('miles become kilometres exactly', () => {
  expect(inTrackUnit(1, 'mi')).toBe(1.609344);
  expect(meterTrack([reading(1, 62_137, 'mi')])[0]!.total).toBeCloseTo(99_999.808128, 9);
  expect(inTrackUnit(62_137, 'h')).toBe(62_137);
});

test('two changes, one of them from miles to kilometres', () => {
  const track = meterTrack(
    [reading(0, 1_000, 'mi'), reading(20, 300), reading(40, 130)],
    [
      { day: 30, oldFinalValue: 500, oldUnit: 'km', newInitialValue: 100, newUnit: 'km' },
      { day: 10, oldFinalValue: 2_000, oldUnit: 'mi', newInitialValue: 0, newUnit: 'km' },
    ],
  );
  const atFirstChange = 2_000 * 1.609344;
  expect(track.map((point) => point.day)).toEqual([0, 10, 20, 30, 40]);
  expect(track.at(-1)!.total).toBeCloseTo(atFirstChange + 500 + 30, 9);
});

test('on the day of a change a reading belongs to the instrument that it fits', () => {
  const change = {
    day: 5,
    oldFinalValue: 81_250,
    oldUnit: 'km',
    newInitialValue: 12,
    newUnit: 'km',
  } as const;
  expect(meterTrack([reading(5, 81_240)], [change])).toEqual([{ day: 5, total: 81_250 }]);
  expect(meterTrack([reading(5, 40)], [change])).toEqual([{ day: 5, total: 81_278 }]);
});

test('a value from another record stands for the total that a reading would have had', () => {
  const replacements = [
    { day: 120, oldFinalValue: 81_250, oldUnit: 'km', newInitialValue: 12, newUnit: 'km' },
  ] as const;
  expect(totalOfValue({ day: 90, value: 80_000, unit: 'km' }, replacements)).toBe(80_000);
  expect(totalOfValue({ day: 190, value: 3_412, unit: 'km' }, replacements)).toBe(84_650);
});

test('of several readings on one day the largest stands', () => {
  expect(meterTrack([reading(3, 120), reading(3, 150), reading(3, 90)])).toEqual([{ day: 3, total: 150 }]);
});

test('the order of readings has no influence', () => {
  const readings = [5, 9, 9, 12, 30, 44].map((day, i) => reading(day, 1_000 + 37 * i));
  const expected = meterTrack(readings);
  fc.assert(
    fc.property(fc.shuffledSubarray(readings, { minLength: readings.length }), (shuffled) => {
      expect(meterTrack(shuffled)).toEqual(expected);
    }),
  );
});

test('what cannot be chained is refused', () => {
  const change = { day: 5, oldFinalValue: 10, oldUnit: 'km', newInitialValue: 0, newUnit: 'km' } as const;
  expect(() => meterTrack([reading(1, 1, 'h'), reading(2, 1, 'km')])).toThrow('mixed');
  expect(() => meterTrack([reading(1, -1)])).toThrow('not a meter value');
  expect(() => meterTrack([reading(1, NaN)])).toThrow('not a meter value');
  expect(() =>
    meterTrack([], [change, { ...change, day: 9, oldFinalValue: 3, newInitialValue: 0 }]),
  ).not.toThrow();
  expect(() =>
    meterTrack(
      [],
      [
        { ...change, newInitialValue: 9 },
        { ...change, day: 9, oldFinalValue: 3 },
      ],
    ),
  ).toThrow('below what the instrument started from');
});

describe('between and beyond readings', () => {
  const track = meterTrack([reading(100, 8_000), reading(110, 8_805)]);
  const forecast: UsageForecast = {
    unit: 'km',
    originDay: 110,
    originTotal: 8_805,
    ratePerDay: 80,
    spread: [{ afterDays: 0, varianceDays: 1 }],
    horizonDays: 3_650,
  };

  test.each([
    [100, 8_000, 'read'],
    [104, 8_322, 'interpolated'],
    [110, 8_805, 'read'],
  ])('day %d: %d, %s', (day, total, how) => {
    expect(totalOn(track, day)).toEqual({ total, how });
  });

  test('carried back for at most 30 days, and only with a forecast', () => {
    expect(totalOn(track, 70, forecast)).toEqual({ total: 5_600, how: 'forecast-backwards' });
    expect(totalOn(track, 69, forecast)).toEqual({ total: null, how: 'outside' });
    expect(totalOn(track, 99)).toEqual({ total: null, how: 'outside' });
    expect(totalOn(track, 111, forecast)).toEqual({ total: null, how: 'outside' });
    expect(totalOn([], 5, forecast)).toEqual({ total: null, how: 'outside' });
    expect(totalOn([{ day: 10, total: 100 }], 0, forecast).total).toBe(0);
  });

  test('the day of reaching a total is interpolated and rounded up', () => {
    expect(dayReached(track, 8_322)).toBe(104); // 8,000 + 4 x 80.5
    expect(dayReached(track, 8_323)).toBe(105);
    expect(dayReached(track, 8_805)).toBe(110);
    expect(dayReached(track, 7_000)).toBe(100);
    expect(dayReached(track, 8_806)).toBeNull();
  });

  test('on a straight line of miles no rounding pushes the day by one', () => {
    const from = toEpochDay('2025-01-01');
    const line = meterTrack([reading(from, 1_000, 'mi'), reading(from + 365, 1_000 + 365 * 49.7, 'mi')]);
    for (let days = 1; days <= 365; days++) {
      expect(dayReached(line, inTrackUnit(1_000 + days * 49.7, 'mi'))).toBe(from + days);
    }
  });
});
