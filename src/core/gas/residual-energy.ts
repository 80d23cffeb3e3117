import { decayOf } from './decay-of';
import type { Isotherm } from './nitrogen-isotherm';

/** A part of the residual Helmholtz energy, reduced by R T, and how it changes with the density. */
export interface ResidualEnergy {
  value: number;
  /** delta d/d(delta) of the value: compressibility factor less one. */
  slope: number;
  /** delta d/d(delta) of the slope. */
  curvature: number;
}

/** Energies to be filled. */
export function emptyResidualEnergy(): ResidualEnergy {
  return { value: NaN, slope: NaN, curvature: NaN };
}

/**
 * Fills `into` at a reduced density: all terms but the four Gaussian ones (see `critical-terms.ts`).
 *
 * With u = delta^l, the operator delta d/d(delta) turns delta^i exp(-u) into (i - l u) times itself. So each
 * group of one l needs the sums of its terms weighted by 1, i and i².
 */
export function fillResidualEnergy(into: ResidualEnergy, c: Isotherm, delta: number): void {
  const x2 = delta * delta;
  const x3 = x2 * delta;
  const x4 = x2 * x2;
  const x5 = x4 * delta;
  const x6 = x3 * x3;
  const x8 = x4 * x4;

  const a1 = c.d1 * delta;
  const a2 = c.d2 * x2;
  const a3 = c.d3 * x3;

  const b1 = c.e1d1 * delta;
  const b3 = c.e1d3 * x3;
  const b4 = c.e1d4 * x4;
  const b6 = c.e1d6 * x6;
  const b7 = c.e1d7 * x6 * delta;
  const b8 = c.e1d8 * x8;
  const b = decayOf(delta);
  const bSum = b1 + b3 + b4 + b6 + b7 + b8;
  const bFirst = b1 + 3 * b3 + 4 * b4 + 6 * b6 + 7 * b7 + 8 * b8;
  const bSecond = b1 + 9 * b3 + 16 * b4 + 36 * b6 + 49 * b7 + 64 * b8;

  const d1 = c.e2d1 * delta;
  const d2 = c.e2d2 * x2;
  const d3 = c.e2d3 * x3;
  const d4 = c.e2d4 * x4;
  const d5 = c.e2d5 * x5;
  const d8 = c.e2d8 * x8;
  const d = decayOf(x2);
  const dSum = d1 + d2 + d3 + d4 + d5 + d8;
  const dFirst = d1 + 2 * d2 + 3 * d3 + 4 * d4 + 5 * d5 + 8 * d8;
  const dSecond = d1 + 4 * d2 + 9 * d3 + 16 * d4 + 25 * d5 + 64 * d8;

  const e4 = c.e3d4 * x4;
  const e5 = c.e3d5 * x5;
  const e8 = c.e3d8 * x8;
  const e = decayOf(x3);
  const eSum = e4 + e5 + e8;
  const eFirst = 4 * e4 + 5 * e5 + 8 * e8;
  const eSecond = 16 * e4 + 25 * e5 + 64 * e8;

  const f3 = c.e4d3 * x3;
  const f5 = c.e4d5 * x5;
  const f6 = c.e4d6 * x6;
  const f9 = c.e4d9 * x8 * delta;
  const f = decayOf(x4);
  const fSum = f3 + f5 + f6 + f9;
  const fFirst = 3 * f3 + 5 * f5 + 6 * f6 + 9 * f9;
  const fSecond = 9 * f3 + 25 * f5 + 36 * f6 + 81 * f9;

  into.value = a1 + a2 + a3 + b * bSum + d * dSum + e * eSum + f * fSum;
  into.slope =
    a1 +
    2 * a2 +
    3 * a3 +
    b * (bFirst - delta * bSum) +
    d * (dFirst - 2 * x2 * dSum) +
    e * (eFirst - 3 * x3 * eSum) +
    f * (fFirst - 4 * x4 * fSum);
  into.curvature =
    a1 +
    4 * a2 +
    9 * a3 +
    b * (bSecond - 2 * delta * bFirst + (x2 - delta) * bSum) +
    d * (dSecond - 4 * x2 * dFirst + 4 * (x4 - x2) * dSum) +
    e * (eSecond - 6 * x3 * eFirst + 9 * (x6 - x3) * eSum) +
    f * (fSecond - 8 * x4 * fFirst + 16 * (x8 - x4) * fSum);
}
