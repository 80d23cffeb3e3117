import { settles, type RelatedItem } from '../../../core/visit/goes-together';
import type { Schemas } from '../../api/client';

type DueItem = Schemas['DueItemDto'];
type State = DueItem['state'];

const STATES: Record<State, { words: string; order: number }> = {
  overdue: { words: 'Overdue', order: 0 },
  due: { words: 'Due', order: 1 },
  'due-soon': { words: 'May be done now', order: 2 },
  undetermined: { words: 'Not known', order: 3 },
  'not-due': { words: 'Not due', order: 4 },
};

export const dueWords = (state: State): string => STATES[state].words;

/** Codes are words with hyphens: `suspension-front-left`. */
export const codeWords = (code: string): string => code.replaceAll('-', ' ');

/** What is to be done and where, without saying anything twice: `Recharge the suspension unit, front right`. */
export function taskWords({ title, position }: { title: string; position: string | null }): string {
  const said = new Set(title.toLowerCase().split(/[^a-z0-9]+/));
  const where = (position ?? '').split('-').filter((word) => word !== '' && !said.has(word));
  return where.length === 0 ? title : `${title}, ${where.join(' ')}`;
}

/** The bookings at which due items are done already, or settled, by key; work of an earlier interval does not count. */
export function bookedAt<Visit extends { items: readonly { dueItemKey: string; cycle: string }[] }>(
  items: readonly (RelatedItem & { cycle: string })[],
  bookings: readonly Visit[],
): Map<string, Visit> {
  const visits = new Map<string, Visit>();
  for (const booking of bookings) {
    const done = items.filter(({ key, cycle }) =>
      booking.items.some((each) => each.dueItemKey === key && each.cycle === cycle),
    );
    for (const item of items)
      if (!visits.has(item.key) && done.some((each) => settles(each, item))) visits.set(item.key, booking);
  }
  return visits;
}

/**
 * What a visit takes on before anybody has said anything: everything overdue and due that no other visit does. What other
 * of this work settles is done with it; of two that settle each other the first by key stays.
 */
export function firstTicks(
  items: readonly (RelatedItem & { state: State })[],
  booked: ReadonlyMap<string, unknown>,
): string[] {
  const owed = items.filter(({ key, state }) => (state === 'overdue' || state === 'due') && !booked.has(key));
  return owed
    .filter(
      (item) =>
        !owed.some(
          (other) =>
            other.key !== item.key && settles(other, item) && !(settles(item, other) && item.key < other.key),
        ),
    )
    .map(({ key }) => key);
}

/** The chosen item that settles another one, so that nobody books the same work twice. */
export function doneWith<Item extends RelatedItem>(
  item: Item,
  items: readonly Item[],
  ticked: readonly string[],
): Item | undefined {
  if (ticked.includes(item.key)) return undefined;
  return items.find((other) => ticked.includes(other.key) && settles(other, item));
}

/** The most pressing first, and what is pressing alike by the day on which it is due. */
export function inOrder<Item extends { state: State; dueOn: string | null; title: string; key: string }>(
  items: readonly Item[],
): Item[] {
  return [...items].sort(
    (a, b) =>
      STATES[a.state].order - STATES[b.state].order ||
      (a.dueOn ?? '9999').localeCompare(b.dueOn ?? '9999') ||
      a.title.localeCompare(b.title) ||
      a.key.localeCompare(b.key),
  );
}

/** Ticks or unticks one. */
export function toggled(keys: readonly string[], key: string): string[] {
  return keys.includes(key) ? keys.filter((each) => each !== key) : [...keys, key];
}

/** What is not pressing, but could be done by now and is done at no other visit. */
export function mayBeDone(
  items: readonly { key: string; state: State }[],
  booked: ReadonlyMap<string, unknown>,
): string[] {
  return items.filter(({ key, state }) => state === 'due-soon' && !booked.has(key)).map(({ key }) => key);
}
