import { smallestConflict } from '../../../src/core/downtime-plan/smallest-conflict';
import { SeededRandom } from '../../../src/core/shared/seeded-random';

type IsPossible = (inForce: readonly string[]) => boolean;

/** Possible unless all facts of one of these sets hold together. */
const unless =
  (...impossible: readonly (readonly string[])[]): IsPossible =>
  (inForce) =>
    !impossible.some((set) => set.every((fact) => inForce.includes(fact)));

/** All sets of facts, by trying every one. */
function* everySetOf(facts: readonly string[]): Generator<string[]> {
  for (let mask = 0; mask < 2 ** facts.length; mask++)
    yield facts.filter((_, at) => Math.floor(mask / 2 ** at) % 2 === 1);
}

function expectConflict(conflict: readonly string[], facts: readonly string[], isPossible: IsPossible): void {
  expect(isPossible(conflict)).toBe(false);
  for (const fact of conflict) expect(isPossible(conflict.filter((each) => each !== fact))).toBe(true);
  // in the order in which they were given
  expect(facts.filter((fact) => conflict.includes(fact))).toEqual(conflict);
}

describe('worked out by hand', () => {
  const FACTS = ['roster', 'booked', 'bay', 'people', 'locked'];

  test.each<[what: string, isPossible: IsPossible, conflict: string[] | null]>([
    ['nothing is in the way', unless(['roster', 'pit']), []],
    ['one fact rules it out', unless(['people']), ['people']],
    ['two do it together', unless(['bay', 'locked']), ['bay', 'locked']],
    [
      'of a large conflict and a small one, the small one',
      unless(['roster', 'booked', 'bay'], ['people', 'locked']),
      ['people', 'locked'],
    ],
    ['one that needs them all', unless(FACTS), FACTS],
    ['it is impossible whatever holds', unless([]), null],
  ])('%s', (_, isPossible, conflict) => {
    expect(smallestConflict(FACTS, isPossible)).toEqual(conflict);
  });

  test('without facts it is possible, or impossible whatever holds', () => {
    expect(smallestConflict([], () => true)).toEqual([]);
    expect(smallestConflict([], () => false)).toBeNull();
  });
});

describe('random facts, some of which rule it out together', () => {
  const problem = (seed: number, factCount: number) => {
    const random = new SeededRandom(seed);
    const facts = Array.from({ length: factCount }, (_, at) => `fact ${at}`);
    const impossible = Array.from({ length: random.integer(1, 5) }, () =>
      facts.filter(() => random.next() < 0.35),
    ).filter(({ length }) => length > 0);
    return { facts, isPossible: unless(...impossible), impossible };
  };

  test('the conflict is one, needs each of its facts, and no set with fewer is one: every set is tried', () => {
    const sizes = new Set<number>();
    for (let seed = 1; seed <= 150; seed++) {
      const { facts, isPossible } = problem(seed, 1 + (seed % 9));
      const conflict = smallestConflict(facts, isPossible);
      const least = Math.min(
        Infinity,
        ...[...everySetOf(facts)].filter((set) => !isPossible(set)).map(({ length }) => length),
      );
      sizes.add(least);
      if (least === Infinity) expect(conflict).toEqual([]);
      else {
        expectConflict(conflict!, facts, isPossible);
        expect(conflict).toHaveLength(least);
      }
    }
    for (const size of [1, 2, 3, Infinity]) expect(sizes).toContain(size);
  });

  test('of very many facts, a conflict that needs each of its facts, without trying every set', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const { facts, isPossible, impossible } = problem(seed, 60);
      let asked = 0;
      const conflict = smallestConflict(facts, (inForce) => {
        asked++;
        return isPossible(inForce);
      });
      expectConflict(conflict!, facts, isPossible);
      expect(impossible).toContainEqual(conflict);
      expect(asked).toBeLessThan(100);
    }
  });
});
