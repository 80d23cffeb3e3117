import { CRITICAL_TEMPERATURE_K } from './nitrogen-constants';

/**
 * The powers of the reduced temperature that the equation of state takes, and hence all that it needs of the
 * temperature: `t0875` is tau to the power 0.875.
 */
export interface TauPowers {
  t0: number;
  t025: number;
  t0375: number;
  t05: number;
  t075: number;
  t0875: number;
  t1: number;
  t125: number;
  t2: number;
  t25: number;
  t275: number;
  t3: number;
  t35: number;
  t4: number;
  t6: number;
  t7: number;
  t11: number;
  t12: number;
  t15: number;
  t16: number;
}

/**
 * The residual Helmholtz energy at one temperature is a polynomial of the reduced density delta and its
 * products with exp(-delta^l). `e2d5` is the coefficient of delta^5 exp(-delta^2); `d3` has no exponential.
 */
export interface Isotherm {
  d1: number;
  d2: number;
  d3: number;
  e1d1: number;
  e1d3: number;
  e1d4: number;
  e1d6: number;
  e1d7: number;
  e1d8: number;
  e2d1: number;
  e2d2: number;
  e2d3: number;
  e2d4: number;
  e2d5: number;
  e2d8: number;
  e3d4: number;
  e3d5: number;
  e3d8: number;
  e4d3: number;
  e4d5: number;
  e4d6: number;
  e4d9: number;
}

/** Fills `into` with the powers of tau = 126.192 K / T. */
export function fillTauPowers(into: TauPowers, temperatureK: number): void {
  const t1 = CRITICAL_TEMPERATURE_K / temperatureK;
  const t05 = Math.sqrt(t1);
  const t025 = Math.sqrt(t05);
  const t0125 = Math.sqrt(t025);
  const t075 = t05 * t025;
  const t2 = t1 * t1;
  const t3 = t2 * t1;
  const t4 = t2 * t2;
  const t7 = t4 * t3;
  const t11 = t7 * t4;
  const t15 = t11 * t4;
  into.t0 = 1;
  into.t025 = t025;
  into.t0375 = t025 * t0125;
  into.t05 = t05;
  into.t075 = t075;
  into.t0875 = t075 * t0125;
  into.t1 = t1;
  into.t125 = t1 * t025;
  into.t2 = t2;
  into.t25 = t2 * t05;
  into.t275 = t2 * t075;
  into.t3 = t3;
  into.t35 = t3 * t05;
  into.t4 = t4;
  into.t6 = t3 * t3;
  into.t7 = t7;
  into.t11 = t11;
  into.t12 = t11 * t1;
  into.t15 = t15;
  into.t16 = t15 * t1;
}

/**
 * Fills `into` with the coefficients of delta at one temperature.
 *
 * The 32 numbers are those of R. Span, E. W. Lemmon, R. T. Jacobsen, W. Wagner and A. Yokozeki, A Reference
 * Equation of State for the Thermodynamic Properties of Nitrogen, J. Phys. Chem. Ref. Data 29 (2000), 1361,
 * in the order of its terms. The sum is linear in the powers: filled from the derivatives of the powers by
 * tau it gives the coefficients of the derivative.
 */
export function fillIsotherm(into: Isotherm, t: TauPowers): void {
  into.d1 = 0.924803575275 * t.t025 - 0.492448489428 * t.t0875;
  into.d2 = 0.661883336938 * t.t05 - 1.92902649201 * t.t0875;
  into.d3 = -0.0622469309629 * t.t0375 + 0.349943957581 * t.t075;
  into.e1d1 = 0.564857472498 * t.t05 - 1.61720005987 * t.t075 - 0.481395031883 * t.t2;
  into.e1d3 = 0.421150636384 * t.t125 - 0.0161962230825 * t.t35;
  into.e1d4 = 0.172100994165 * t.t1;
  into.e1d6 = 0.00735448924933 * t.t05 + 0.0168077305479 * t.t3;
  into.e1d7 = -0.00107626664179 * t.t0 - 0.0137318088513 * t.t275;
  into.e1d8 = 0.000635466899859 * t.t075 + 0.00304432279419 * t.t25;
  into.e2d1 = -0.0435762336045 * t.t4;
  into.e2d2 = -0.0723174889316 * t.t6;
  into.e2d3 = 0.0389644315272 * t.t6;
  into.e2d4 = -0.021220136391 * t.t3;
  into.e2d5 = 0.00408822981509 * t.t3;
  into.e2d8 = -5.51990017984e-5 * t.t6;
  into.e3d4 = -0.0462016716479 * t.t16;
  into.e3d5 = -0.00300311716011 * t.t11 + 0.0368825891208 * t.t15;
  into.e3d8 = -0.0025585684622 * t.t12;
  into.e4d3 = 0.00896915264558 * t.t12;
  into.e4d5 = -0.0044151337035 * t.t7;
  into.e4d6 = 0.00133722924858 * t.t4;
  into.e4d9 = 0.000264832491957 * t.t16;
}

// tau to the power of each
const EXPONENTS: Readonly<TauPowers> = {
  ...{ t0: 0, t025: 0.25, t0375: 0.375, t05: 0.5, t075: 0.75, t0875: 0.875, t1: 1, t125: 1.25, t2: 2 },
  ...{ t25: 2.5, t275: 2.75, t3: 3, t35: 3.5, t4: 4, t6: 6, t7: 7, t11: 11, t12: 12, t15: 15, t16: 16 },
};

/** Each power after the operator tau d/d(tau): multiplied by its exponent. */
export function timesExponents(powers: Readonly<TauPowers>): TauPowers {
  const result = emptyTauPowers();
  for (const name of Object.keys(EXPONENTS) as (keyof TauPowers)[]) {
    result[name] = powers[name] * EXPONENTS[name];
  }
  return result;
}

/** Powers to be filled. */
export function emptyTauPowers(): TauPowers {
  return {
    t0: NaN,
    t025: NaN,
    t0375: NaN,
    t05: NaN,
    t075: NaN,
    t0875: NaN,
    t1: NaN,
    t125: NaN,
    t2: NaN,
    t25: NaN,
    t275: NaN,
    t3: NaN,
    t35: NaN,
    t4: NaN,
    t6: NaN,
    t7: NaN,
    t11: NaN,
    t12: NaN,
    t15: NaN,
    t16: NaN,
  };
}

/** Coefficients to be filled. */
export function emptyIsotherm(): Isotherm {
  return {
    d1: NaN,
    d2: NaN,
    d3: NaN,
    e1d1: NaN,
    e1d3: NaN,
    e1d4: NaN,
    e1d6: NaN,
    e1d7: NaN,
    e1d8: NaN,
    e2d1: NaN,
    e2d2: NaN,
    e2d3: NaN,
    e2d4: NaN,
    e2d5: NaN,
    e2d8: NaN,
    e3d4: NaN,
    e3d5: NaN,
    e3d8: NaN,
    e4d3: NaN,
    e4d5: NaN,
    e4d6: NaN,
    e4d9: NaN,
  };
}

/** The coefficients at one temperature, freshly made. */
export function isothermAt(temperatureK: number): Isotherm {
  const powers = emptyTauPowers();
  const isotherm = emptyIsotherm();
  fillTauPowers(powers, temperatureK);
  fillIsotherm(isotherm, powers);
  return isotherm;
}
