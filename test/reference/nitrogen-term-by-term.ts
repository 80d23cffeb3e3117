// The reference equation of state of nitrogen written out term by term, as slow and as plain as it is printed:
// R. Span, E. W. Lemmon, R. T. Jacobsen, W. Wagner, A. Yokozeki, J. Phys. Chem. Ref. Data 29 (2000), 1361.
// Derivatives worked out by hand would repeat the code under test, so they are taken as differences.

/** N, i, j, l of N delta^i tau^j exp(-delta^l); no exponential where l is 0. */
const TERMS = [
  [0.924803575275, 1, 0.25, 0],
  [-0.492448489428, 1, 0.875, 0],
  [0.661883336938, 2, 0.5, 0],
  [-1.92902649201, 2, 0.875, 0],
  [-0.0622469309629, 3, 0.375, 0],
  [0.349943957581, 3, 0.75, 0],
  [0.564857472498, 1, 0.5, 1],
  [-1.61720005987, 1, 0.75, 1],
  [-0.481395031883, 1, 2.0, 1],
  [0.421150636384, 3, 1.25, 1],
  [-0.0161962230825, 3, 3.5, 1],
  [0.172100994165, 4, 1.0, 1],
  [0.00735448924933, 6, 0.5, 1],
  [0.0168077305479, 6, 3.0, 1],
  [-0.00107626664179, 7, 0.0, 1],
  [-0.0137318088513, 7, 2.75, 1],
  [0.000635466899859, 8, 0.75, 1],
  [0.00304432279419, 8, 2.5, 1],
  [-0.0435762336045, 1, 4.0, 2],
  [-0.0723174889316, 2, 6.0, 2],
  [0.0389644315272, 3, 6.0, 2],
  [-0.021220136391, 4, 3.0, 2],
  [0.00408822981509, 5, 3.0, 2],
  [-5.51990017984e-5, 8, 6.0, 2],
  [-0.0462016716479, 4, 16.0, 3],
  [-0.00300311716011, 5, 11.0, 3],
  [0.0368825891208, 5, 15.0, 3],
  [-0.0025585684622, 8, 12.0, 3],
  [0.00896915264558, 3, 12.0, 4],
  [-0.0044151337035, 5, 7.0, 4],
  [0.00133722924858, 6, 4.0, 4],
  [0.000264832491957, 9, 16.0, 4],
] as const;

/** N, i, j, phi, beta, gamma of N delta^i tau^j exp(-phi (delta-1)² - beta (tau-gamma)²). */
const GAUSSIANS = [
  [19.6688194015, 1, 0, 20, 325, 1.16],
  [-20.911560073, 1, 1, 20, 325, 1.16],
  [0.0167788306989, 3, 2, 15, 300, 1.13],
  [2627.67566274, 2, 3, 25, 275, 1.25],
] as const;

/** Residual Helmholtz energy over R T. */
export function residualEnergyTermByTerm(delta: number, tau: number): number {
  let sum = 0;
  for (const [n, i, j, l] of TERMS) {
    sum += n * delta ** i * tau ** j * (l === 0 ? 1 : Math.exp(-(delta ** l)));
  }
  for (const [n, i, j, phi, beta, gamma] of GAUSSIANS) {
    sum += n * delta ** i * tau ** j * Math.exp(-phi * (delta - 1) ** 2 - beta * (tau - gamma) ** 2);
  }
  return sum;
}

/** Helmholtz energy of the ideal gas over R T. */
export function idealEnergyTermByTerm(delta: number, tau: number): number {
  return (
    Math.log(delta) +
    2.5 * Math.log(tau) -
    12.76952708 -
    0.00784163 * tau -
    1.934819e-4 / tau -
    1.247742e-5 / tau ** 2 +
    6.678326e-8 / tau ** 3 +
    1.012941 * Math.log(1 - Math.exp(-26.65788 * tau))
  );
}

/** Pressure in bar: the slope of the energy by a fourth-order central difference, relative error below 1e-7. */
export function pressureTermByTerm(temperatureK: number, densityMolPerDm3: number): number {
  const tau = 126.192 / temperatureK;
  const delta = densityMolPerDm3 / 11.1839;
  const step = 3e-4 * delta;
  const at = (k: number): number => residualEnergyTermByTerm(delta + k * step, tau);
  const slope = (8 * (at(1) - at(-1)) - (at(2) - at(-2))) / (12 * step);
  return (densityMolPerDm3 * 8.31451 * temperatureK * (1 + delta * slope)) / 100;
}
