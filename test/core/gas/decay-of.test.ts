import { decayOf } from '../../../src/core/gas/decay-of';

test('is the exponential of the negative number', () => {
  let worst = 0;
  for (let x = 0; x < 60; x += 0.000_7) worst = Math.max(worst, Math.abs(decayOf(x) / Math.exp(-x) - 1));
  expect(worst).toBeLessThan(2e-13);
  expect(decayOf(0)).toBe(1);
  expect(decayOf(4)).toBe(Math.exp(-4));
  expect(decayOf(NaN)).toBeNaN();
});
