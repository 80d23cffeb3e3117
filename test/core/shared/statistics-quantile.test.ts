import fc from 'fast-check';
import { mean, median, quantile, selectInPlace } from '../../../src/core/shared/statistics-quantile';

const VALUES = [3, 1, 4, 1, 5, 9, 2, 6];

// NumPy, quantile with its default method, which is Hyndman and Fan's type 7
test.each([
  [0, 1],
  [0.1, 1],
  [0.25, 1.75],
  [0.5, 3.5],
  [0.8, 5.6],
  [1, 9],
])('quantile at %d', (probability, expected) => {
  expect(quantile(VALUES, probability)).toBeCloseTo(expected, 12);
});

test('median and mean', () => {
  expect(median(VALUES)).toBe(3.5);
  expect(median([7, 1, 2])).toBe(2);
  expect(mean(VALUES)).toBe(3.875);
  expect(() => median([])).toThrow('at least one value');
});

test('selection finds what sorting finds, infinities and ties included', () => {
  const number = fc.oneof(
    fc.integer({ min: -3, max: 3 }),
    fc.constantFrom(Infinity, -Infinity),
    // sorting puts -0 before 0, which are a tie here
    fc.double({ noNaN: true }).map((value) => value + 0),
  );
  fc.assert(
    fc.property(fc.array(number, { minLength: 1, maxLength: 60 }), fc.nat(), (values, seed) => {
      const k = seed % values.length;
      const sorted = Float64Array.from(values).sort();
      expect(selectInPlace(Float64Array.from(values), k)).toBe(sorted[k]);
      expect(quantile(values, 0.5) === median(values) || values.some((v) => !Number.isFinite(v))).toBe(true);
    }),
  );
});
