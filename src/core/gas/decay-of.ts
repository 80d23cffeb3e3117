// beyond it the series below would lose digits
const LONGEST = 4;

/**
 * exp(-x) for x of at least zero, relative error below 2e-13. The built-in function is called out of line and
 * takes most of the time of the equation of state, which needs four of them for each density; this one is
 * inlined. Below 4 it is cosh(y) - sinh(y) by their series at y = x/16, raised to the 16th power.
 */
export function decayOf(x: number): number {
  if (!(x < LONGEST)) return Math.exp(-x);
  const y = x / 16;
  const y2 = y * y;
  const cosh = 1 + y2 * (1 / 2 + y2 * (1 / 24 + y2 * (1 / 720 + y2 * (1 / 40_320 + y2 * (1 / 3_628_800)))));
  const sinh = y * (1 + y2 * (1 / 6 + y2 * (1 / 120 + y2 * (1 / 5_040 + y2 * (1 / 362_880)))));
  const power1 = cosh - sinh;
  const power2 = power1 * power1;
  const power4 = power2 * power2;
  const power8 = power4 * power4;
  return power8 * power8;
}
