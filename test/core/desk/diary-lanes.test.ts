import fc from 'fast-check';
import { overlap } from '../../../src/desk/pages/diary/day-axis';
import { lanesOf } from '../../../src/desk/pages/diary/lanes';

const item = (id: string, startsAt: number, endsAt: number) => ({ id, startsAt, endsAt });

it('puts what does not overlap into one lane over the whole width', () => {
  const lanes = lanesOf([item('late', 10, 20), item('early', 0, 10)]);
  expect([lanes.get('early'), lanes.get('late')]).toEqual([
    { lane: 0, lanes: 1 },
    { lane: 0, lanes: 1 },
  ]);
});

it('puts what overlaps beside each other, and uses a lane again that is free', () => {
  const lanes = lanesOf([
    item('long', 0, 100),
    item('first', 0, 40),
    item('second', 40, 80),
    item('alone', 100, 110),
  ]);
  expect(Object.fromEntries(lanes)).toEqual({
    long: { lane: 0, lanes: 2 },
    first: { lane: 1, lanes: 2 },
    second: { lane: 1, lanes: 2 },
    alone: { lane: 0, lanes: 1 },
  });
});

it('never puts two that overlap into one lane', () => {
  const items = fc
    .array(fc.tuple(fc.integer({ min: 0, max: 60 }), fc.integer({ min: 1, max: 20 })), { maxLength: 20 })
    .map((pairs) => pairs.map(([start, length], index) => item(String(index), start, start + length)));
  fc.assert(
    fc.property(items, (all) => {
      const lanes = lanesOf(all);
      for (const one of all)
        for (const other of all) {
          if (one.id === other.id || !overlap(one, other)) continue;
          const [a, b] = [lanes.get(one.id), lanes.get(other.id)];
          expect(a?.lane).not.toBe(b?.lane);
          expect(a?.lanes).toBe(b?.lanes);
        }
      for (const { lane, lanes: count } of lanes.values()) expect(lane).toBeLessThan(count);
      expect(lanes.size).toBe(all.length);
    }),
  );
});
