import fc from 'fast-check';
import { normalCdf, normalQuantile } from '../../../src/core/shared/statistics-normal';

// mpmath 1.3, ncdf with 30 digits
test.each([
  [-30, 4.906713927148187e-198],
  [-8, 6.220960574271784e-16],
  [-7.05, 8.945889558769911e-13],
  [-5, 2.866515718791939e-7],
  [-3, 0.0013498980316300946],
  [-1.5, 0.06680720126885807],
  [-0.3, 0.3820885778110474],
  [0, 0.5],
  [0.2, 0.579259709439103],
  [1, 0.8413447460685429],
  [2, 0.9772498680518208],
  [4, 0.9999683287581669],
])('normal CDF at %d', (z, expected) => {
  expect(Math.abs(normalCdf(z) - expected)).toBeLessThanOrEqual(1e-15);
  expect(Math.abs(normalCdf(z) / expected - 1)).toBeLessThanOrEqual(1e-8);
});

// SciPy 1.17.1, norm.ppf
test.each([
  [1e-300, -37.0470962993612],
  [1e-20, -9.262340089798409],
  [1e-10, -6.361340902404056],
  [1e-4, -3.7190164854556804],
  [0.01, -2.3263478740408408],
  [0.0749, -1.4402382675279635],
  [0.2, -0.8416212335729142],
  [0.5, 0],
  [0.7, 0.5244005127080407],
  [0.95, 1.6448536269514722],
  [0.999, 3.090232306167813],
])('normal quantile at %d', (probability, expected) => {
  expect(Math.abs(normalQuantile(probability) - expected)).toBeLessThanOrEqual(1e-14 * Math.abs(expected));
});

test('the edges', () => {
  expect([0, 1].map(normalQuantile)).toEqual([-Infinity, Infinity]);
  expect([-0.1, 1.1, NaN].map(normalQuantile)).toEqual([NaN, NaN, NaN]);
  expect([-Infinity, -40, 40, Infinity, NaN].map(normalCdf)).toEqual([0, 0, 1, 1, NaN]);
});

test('one undoes the other', () => {
  fc.assert(
    fc.property(fc.double({ min: 1e-12, max: 1 - 1e-12, noNaN: true }), (p) => {
      expect(Math.abs(normalCdf(normalQuantile(p)) - p)).toBeLessThanOrEqual(1e-14);
    }),
  );
});
