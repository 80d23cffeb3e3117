import { theilSen } from '../../src/core/shared/statistics-theil-sen';

// Intervals: scipy.stats.theilslopes of SciPy 1.17.1 (normal approximation, ranks rounded half to even).

const SEN_1968 = { x: [1, 2, 3, 4, 10, 12, 18], y: [9, 15, 19, 20, 45, 55, 78] };
const HOLLANDER_WOLFE_CHICKEN = { x: [1, 2, 3, 4, 5], y: [1.26, 1.27, 1.12, 1.16, 1.03] };
// a daily odometer with one gross outlier, made for this test
const ODOMETER = {
  x: [0, 31, 62, 90, 121, 151, 182, 212, 243, 274, 304, 335],
  y: [10000, 11190, 12310, 13480, 14650, 15800, 19100, 18070, 19240, 20390, 21520, 22700],
};

test('P. K. Sen (1968), JASA 63, 1379-1389: slope 4, 93 % interval 3.71 to 4.38', () => {
  const line = theilSen(SEN_1968.x, SEN_1968.y, 0.93);
  expect(line?.slope).toBe(4);
  expect(line?.low).toBeCloseTo(3.71, 2);
  expect(line?.high).toBeCloseTo(4.38, 2);
  expect(line?.pairs).toBe(21);
});

test.each([
  ['Sen 1968', SEN_1968, 0.9, 4, 3.75, 4.181818182],
  ['Sen 1968', SEN_1968, 0.95, 4, 3.714285714, 4.375],
  ['Sen 1968', SEN_1968, 0.99, 4, 2.5, 5],
  ['Hollander, Wolfe, Chicken, example 9.1', HOLLANDER_WOLFE_CHICKEN, 0.9, -0.05625, -0.13, 0.01],
  ['Hollander, Wolfe, Chicken, example 9.1', HOLLANDER_WOLFE_CHICKEN, 0.95, -0.05625, -0.15, 0.04],
  ['an odometer with an outlier', ODOMETER, 0.9, 37.8609622, 37.58241758, 38.06603774],
  ['an odometer with an outlier', ODOMETER, 0.93, 37.8609622, 37.57009346, 38.11320755],
  ['an odometer with an outlier', ODOMETER, 0.95, 37.8609622, 37.55434783, 38.28729282],
  ['an odometer with an outlier', ODOMETER, 0.99, 37.8609622, 37.41935484, 38.41666667],
])('%s at %d', (_, { x, y }, confidence, slope, low, high) => {
  const line = theilSen(x, y, confidence);
  expect(line?.slope).toBeCloseTo(slope, 7);
  expect(line?.low).toBeCloseTo(low, 7);
  expect(line?.high).toBeCloseTo(high, 7);
});

test('ties in x and y', () => {
  const line = theilSen([0, 1, 1, 2, 4, 6, 7, 8], [1, 2, 2.5, 3, 5, 5, 7, 8.5], 0.9);
  expect(line?.slope).toBeCloseTo(0.875, 12);
  expect(line?.low).toBeCloseTo(0.6666666666666666, 12);
  expect(line?.high).toBeCloseTo(1.0, 12);
});
