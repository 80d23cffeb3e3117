import { SeededRandom } from '../../../src/core/shared/seeded-random';

test('a seed repeats its stream and no other', () => {
  const draw = (seed: number): number[] => {
    const random = new SeededRandom(seed);
    return Array.from({ length: 5 }, () => random.next());
  };
  expect(draw(7)).toEqual(draw(7));
  expect(new Set([1, 2, 3, 2 ** 32 + 1].flatMap(draw)).size).toBe(20);
});

test('moments of uniform and normal draws, also across neighbouring seeds', () => {
  const draws = Array.from({ length: 20_000 }, (_, seed) => {
    const random = new SeededRandom(seed);
    return [random.next(), random.normal(), random.integer(1, 6)] as const;
  });
  const average = (of: (draw: readonly [number, number, number]) => number): number =>
    draws.reduce((sum, draw) => sum + of(draw), 0) / draws.length;
  // four standard errors each
  expect(Math.abs(average(([u]) => u) - 0.5)).toBeLessThan(4 * Math.sqrt(1 / 12 / 20_000));
  expect(Math.abs(average(([, z]) => z))).toBeLessThan(4 * Math.sqrt(1 / 20_000));
  expect(Math.abs(average(([, z]) => z * z) - 1)).toBeLessThan(4 * Math.sqrt(2 / 20_000));
  expect(Math.abs(average(([u, z]) => (u - 0.5) * z))).toBeLessThan(4 * Math.sqrt(1 / 12 / 20_000));
  expect(Math.abs(average(([, , die]) => die) - 3.5)).toBeLessThan(4 * Math.sqrt(35 / 12 / 20_000));
  expect(new Set(draws.map(([, , die]) => die))).toEqual(new Set([1, 2, 3, 4, 5, 6]));
});
