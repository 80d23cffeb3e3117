import { logGamma, studentCdf, studentQuantile } from '../../../src/core/shared/statistics-student';

// SciPy 1.17.1, t.ppf
test.each([
  [0.975, 34, 2.0322445093177186],
  [0.95, 5, 2.0150483733330233],
  [0.9, 1, 3.0776835371752544],
  [0.9995, 3, 12.923978636687961],
  [0.6, 2.5, 0.2814595127485477],
  [1e-6, 10, -9.751995490940581],
  [0.975, 200, 1.9718962236339088],
])('Student quantile at %d with %d degrees of freedom', (probability, df, expected) => {
  expect(Math.abs(studentQuantile(probability, df) / expected - 1)).toBeLessThanOrEqual(1e-12);
  expect(Math.abs(studentCdf(expected, df) - probability)).toBeLessThanOrEqual(1e-13);
});

test('one degree of freedom is the Cauchy distribution, whose quantile is a tangent', () => {
  for (const p of [0.01, 0.2, 0.5, 0.7, 0.99]) {
    expect(studentQuantile(p, 1)).toBeCloseTo(Math.tan(Math.PI * (p - 0.5)), 10);
  }
});

test('the gamma function at whole and half numbers', () => {
  expect(Math.exp(logGamma(6))).toBeCloseTo(120, 10);
  expect(Math.exp(logGamma(0.5))).toBeCloseTo(Math.sqrt(Math.PI), 13);
  expect(Math.exp(logGamma(0.25))).toBeCloseTo(3.625609908221908, 12); // DLMF 5.4
});
