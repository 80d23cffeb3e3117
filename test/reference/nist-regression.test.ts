import { leastSquares, type LeastSquaresFit } from '../../src/core/shared/statistics-least-squares';

// NIST/ITL Statistical Reference Datasets, linear regression, certified values (public domain). The
// predictions are not certified: computed with R 4.2.2, predict.lm.

const NORRIS: readonly (readonly [y: number, x: number])[] = [
  [0.1, 0.2],
  [338.8, 337.4],
  [118.1, 118.2],
  [888.0, 884.6],
  [9.2, 10.1],
  [228.1, 226.5],
  [668.5, 666.3],
  [998.5, 996.3],
  [449.1, 448.6],
  [778.9, 777.0],
  [559.2, 558.2],
  [0.3, 0.4],
  [0.1, 0.6],
  [778.1, 775.5],
  [668.8, 666.9],
  [339.3, 338.0],
  [448.9, 447.5],
  [10.8, 11.6],
  [557.7, 556.0],
  [228.3, 228.1],
  [998.0, 995.8],
  [888.8, 887.6],
  [119.6, 120.2],
  [0.3, 0.3],
  [0.6, 0.3],
  [557.6, 556.8],
  [339.3, 339.1],
  [888.0, 887.2],
  [998.5, 999.0],
  [778.9, 779.0],
  [10.2, 11.1],
  [117.6, 118.3],
  [228.9, 229.2],
  [668.4, 669.1],
  [449.2, 448.9],
  [0.2, 0.5],
];
const PONTIUS: readonly (readonly [y: number, x: number])[] = [
  [0.11019, 150000],
  [0.21956, 300000],
  [0.32949, 450000],
  [0.43899, 600000],
  [0.54803, 750000],
  [0.65694, 900000],
  [0.76562, 1050000],
  [0.87487, 1200000],
  [0.98292, 1350000],
  [1.09146, 1500000],
  [1.20001, 1650000],
  [1.30822, 1800000],
  [1.41599, 1950000],
  [1.52399, 2100000],
  [1.63194, 2250000],
  [1.73947, 2400000],
  [1.84646, 2550000],
  [1.95392, 2700000],
  [2.06128, 2850000],
  [2.16844, 3000000],
  [0.11052, 150000],
  [0.22018, 300000],
  [0.32939, 450000],
  [0.43886, 600000],
  [0.54798, 750000],
  [0.65739, 900000],
  [0.76596, 1050000],
  [0.87474, 1200000],
  [0.983, 1350000],
  [1.0915, 1500000],
  [1.20004, 1650000],
  [1.30818, 1800000],
  [1.41613, 1950000],
  [1.52408, 2100000],
  [1.63159, 2250000],
  [1.73965, 2400000],
  [1.84696, 2550000],
  [1.95445, 2700000],
  [2.06177, 2850000],
  [2.16829, 3000000],
];

function fitOf(data: readonly (readonly [number, number])[], order?: number): LeastSquaresFit {
  return leastSquares(
    data.map(([, x]) => x),
    data.map(([y]) => y),
    order,
  );
}

function expectClose(actual: number | undefined, certified: number, relative: number): void {
  expect(Math.abs(Number(actual) - certified)).toBeLessThanOrEqual(relative * Math.abs(certified));
}

test('Norris: a line', () => {
  const fit = fitOf(NORRIS);
  expect(NORRIS).toHaveLength(36);
  expectClose(fit.coefficients[0], -0.262323073774029, 1e-10);
  expectClose(fit.coefficients[1], 1.00211681802045, 1e-10);
  expectClose(fit.standardDeviations[0], 0.232818234301152, 1e-10);
  expectClose(fit.standardDeviations[1], 0.429796848199937e-3, 1e-10);
  expectClose(fit.residualSd, 0.884796396144373, 1e-10);
  expectClose(fit.rSquared, 0.999993745883712, 1e-10);
  expectClose(fit.regressionSumOfSquares, 4255954.13232369, 1e-10);
  expectClose(fit.residualSumOfSquares, 26.6173985294224, 1e-10);
  expect(fit.degreesOfFreedom).toBe(34);
});

test.each([
  [0, -0.26232307, -2.12165354, 1.5970074, -0.73546665, 0.2108205],
  [500, 500.79608594, 498.97179405, 502.62037782, 500.48819647, 501.1039754],
  [1000, 1001.85449495, 999.96229216, 1003.74669774, 1001.26526965, 1002.44372024],
])('Norris: 95 % intervals at x = %d', (x, value, low, high, lineLow, lineHigh) => {
  const prediction = fitOf(NORRIS).predict(x, 0.95);
  expect(prediction.value).toBeCloseTo(value, 7);
  expect(prediction.value - prediction.halfWidthOfValue).toBeCloseTo(low, 7);
  expect(prediction.value + prediction.halfWidthOfValue).toBeCloseTo(high, 7);
  expect(prediction.value - prediction.halfWidthOfLine).toBeCloseTo(lineLow, 7);
  expect(prediction.value + prediction.halfWidthOfLine).toBeCloseTo(lineHigh, 7);
});

test('Pontius: a parabola', () => {
  const fit = fitOf(PONTIUS, 2);
  expect(PONTIUS).toHaveLength(40);
  expectClose(fit.coefficients[0], 0.673565789473684e-3, 1e-9);
  expectClose(fit.coefficients[1], 0.732059160401003e-6, 1e-9);
  expectClose(fit.coefficients[2], -0.316081871345029e-14, 1e-9);
  expectClose(fit.standardDeviations[0], 0.107938612033077e-3, 1e-9);
  expectClose(fit.standardDeviations[1], 0.157817399981659e-9, 1e-9);
  expectClose(fit.standardDeviations[2], 0.486652849992036e-16, 1e-9);
  expectClose(fit.residualSd, 0.205177424076185e-3, 1e-9);
  expectClose(fit.rSquared, 0.999999900178537, 1e-9);
});

test('NoInt1: a line through zero', () => {
  const x = Array.from({ length: 11 }, (_, i) => 60 + i);
  const fit = leastSquares(
    x,
    x.map((value) => value + 70),
    1,
    false,
  );
  expectClose(fit.coefficients[0], 2.07438016528926, 1e-10);
  expectClose(fit.standardDeviations[0], 0.165289256198347e-1, 1e-10);
  expectClose(fit.residualSd, 3.56753034006338, 1e-10);
  expectClose(fit.rSquared, 0.999365492298663, 1e-10);
  expectClose(fit.regressionSumOfSquares, 200457.727272727, 1e-10);
  expectClose(fit.residualSumOfSquares, 127.272727272727, 1e-10);
});

test('NoInt2: a line through zero', () => {
  const fit = leastSquares([4, 5, 6], [3, 4, 4], 1, false);
  expectClose(fit.coefficients[0], 0.727272727272727, 1e-10);
  expectClose(fit.standardDeviations[0], 0.420827318078432e-1, 1e-10);
  expectClose(fit.residualSd, 0.369274472937998, 1e-10);
  expectClose(fit.rSquared, 0.993348115299335, 1e-10);
  expectClose(fit.regressionSumOfSquares, 40.7272727272727, 1e-10);
  expectClose(fit.residualSumOfSquares, 0.272727272727273, 1e-10);
});

test('too little to fit is refused', () => {
  expect(() => leastSquares([1, 2], [1, 2])).toThrow('do not determine');
  expect(() => leastSquares([3, 3, 3], [1, 2, 3])).toThrow('too few different values');
  expect(() => leastSquares([3, 3, 4, 4], [1, 2, 3, 4], 2)).toThrow('too few different values');
});
