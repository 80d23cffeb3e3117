import fc from 'fast-check';
import { workInOrder, type OrderedWork } from '../../../src/core/job-sheet/work-in-order';

const work = (task: string | null, ...doBefore: string[]): OrderedWork => ({ task, doBefore });
const tasksOf = (given: readonly OrderedWork[]) => workInOrder(given).map(({ task }) => task);

test('what has to come first does, at every place; the rest stays as it was', () => {
  expect(tasksOf([work('z'), work('c', 'b'), work(null), work('b', 'a'), work('a'), work('a')])).toEqual([
    'z',
    'a',
    'a',
    'b',
    'c',
    null,
  ]);
});

test('a circle is refused by name, without what only leads to it', () => {
  expect(() => workInOrder([work('start', 'a'), work('a', 'b'), work('b', 'a')])).toThrow(
    '"a" would have to be done before itself: it waits for "b", which waits for "a"',
  );
  expect(() => workInOrder([work('a', 'a')])).toThrow('it waits for "a"');
});

test('nothing is lost or done twice, nothing comes before what it waits for, and order is left as it is', () => {
  // each may wait for earlier letters only, so that there is no circle
  const anyWork = fc
    .uniqueArray(fc.nat(6), { minLength: 1 })
    .chain((letters) =>
      fc
        .tuple(...letters.map((letter) => fc.subarray([...'abcdefg'].slice(0, letter))))
        .map((waits) =>
          letters.map((letter, place) => work('abcdefg'.charAt(letter), ...(waits[place] ?? []))),
        ),
    );
  fc.assert(
    fc.property(anyWork, (given) => {
      const ordered = workInOrder(given);
      expect(new Set(ordered)).toEqual(new Set(given));
      expect(ordered).toHaveLength(given.length);
      ordered.forEach(({ doBefore }, place) => {
        for (const later of ordered.slice(place)) expect(doBefore).not.toContain(later.task);
      });
      expect(workInOrder(ordered)).toEqual(ordered);
    }),
  );
});
