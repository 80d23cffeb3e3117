import { PreparedPerson } from './prepare-diary';
import { Job } from './workshop';

/** Who can be which of the needed people, as bits. */
export interface NeededMasks {
  /** A bit for each needed person. */
  readonly all: number;
  /** Sizes of team that are worth trying. */
  readonly fewest: number;
  readonly most: number;
  readonly separate: boolean;
  /** Bits of the person at a place in the order of preference, for work that ends at an instant. */
  readonly maskAt: (rank: number, endsAt: number) => number;
}

/**
 * Works out which of the needed people each person can be, and until when.
 *
 * @param people most preferred first
 */
export function neededMasks(people: readonly PreparedPerson[], job: Job): NeededMasks {
  const needed = job.separatePeople ? job.needed : withoutImplied(job.needed);
  const count = Math.max(needed.length, 1);
  const ends = people.map(({ competentUntil }) =>
    Array.from({ length: count }, (_, i) =>
      (needed[i]?.competences ?? []).reduce(
        (end, code) => Math.min(end, competentUntil.get(code) ?? -Infinity),
        Infinity,
      ),
    ),
  );
  const always = ends.map((of) => bits(of, Infinity));
  const ever = ends.map((of) => bits(of, Number.MIN_SAFE_INTEGER));
  return {
    all: 2 ** count - 1,
    fewest: job.separatePeople ? count : 1,
    most: count,
    separate: job.separatePeople,
    maskAt: (rank, endsAt) =>
      always[rank] === ever[rank] ? (ever[rank] as number) : bits(ends[rank] as number[], endsAt),
  };
}

function bits(ends: readonly number[], endsAt: number): number {
  return ends.reduce((mask, end, i) => (end >= endsAt ? mask | (1 << i) : mask), 0);
}

// whoever can be one of two can be the other, where the one asks for all that the other asks for
function withoutImplied(needed: Job['needed']): Job['needed'] {
  return needed.filter(
    (one, i) =>
      !needed.some(
        (other, j) =>
          i !== j &&
          one.competences.every((code) => other.competences.includes(code)) &&
          (j < i || !other.competences.every((code) => one.competences.includes(code))),
      ),
  );
}
