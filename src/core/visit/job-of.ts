import { Consumable } from '../due/rule';
import { Job, NeededPerson } from '../working-time/workshop';

/** What work counts whose rule names no minutes. */
export const DEFAULT_LABOUR_MINUTES = 30;

/** A piece of work of a visit, with what it needs. */
export interface VisitWork {
  /** Whole minutes of work. */
  readonly minutes: number;
  /** All of them in one person; empty: anybody. */
  readonly competences: readonly string[];
  /** Null: any bay. */
  readonly bayKind: string | null;
}

/**
 * What a visit asks of a workshop: the minutes of all of its work one after the other, a bay that serves every kind
 * asked for, and people who have the competences between them. Sets of competences that another set includes are
 * left out, as one person who has the larger set has the smaller one too.
 *
 * @param minutes in place of the sum, where somebody knows better
 */
export function jobOf(work: readonly VisitWork[], minutes: number | null = null): Job {
  return {
    minutes: minutes ?? work.reduce((sum, each) => sum + each.minutes, 0),
    bayKinds: [...new Set(work.flatMap(({ bayKind }) => bayKind ?? []))].sort(),
    needed: neededPeople(work),
    separatePeople: false,
    minutesBefore: null,
    minutesAfter: null,
  };
}

/**
 * Parts and materials of several pieces of work, summed by item and unit, in order of the item and then of the unit.
 * Sums are rounded to a thousandth, as fine as rules state them: 0.1 and 0.2 of something are 0.3.
 */
export function sumConsumables(consumables: readonly Consumable[]): Consumable[] {
  const sums = new Map<string, Consumable>();
  for (const { item, quantity, unit } of consumables) {
    const key = `${item}\n${unit}`;
    sums.set(key, { item, quantity: quantity + (sums.get(key)?.quantity ?? 0), unit });
  }
  return [...sums]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([, sum]) => ({ ...sum, quantity: Math.round(sum.quantity * 1000) / 1000 }));
}

function neededPeople(work: readonly VisitWork[]): NeededPerson[] {
  const sets = work.map(({ competences }) => [...new Set(competences)].sort());
  const distinct = [
    ...new Map(sets.filter(({ length }) => length > 0).map((set) => [set.join('\n'), set])).values(),
  ];
  return distinct
    .filter(
      (set) =>
        !distinct.some((other) => other.length > set.length && set.every((code) => other.includes(code))),
    )
    .map((competences) => ({ competences }));
}
