import { InputError } from '../shared/input-error';

/** The part of a piece of work that its place hangs on. */
export interface OrderedWork {
  readonly task: string | null;
  /** Tasks that have to be done before it. */
  readonly doBefore: readonly string[];
}

/**
 * Puts work in an order that does first what has to come first; the rest stays as it was given. A task that comes
 * first and is not among the work changes nothing.
 *
 * @throws InputError that names the circle, where a task would have to be done before itself
 */
export function workInOrder<Work extends OrderedWork>(work: readonly Work[]): Work[] {
  const ordered = new Set<Work>();
  const visit = (each: Work, waiting: readonly Work[]): void => {
    if (ordered.has(each)) return;
    const since = waiting.indexOf(each);
    if (since >= 0) throw circle([...waiting.slice(since), each]);
    for (const before of work) {
      if (before.task !== null && each.doBefore.includes(before.task)) visit(before, [...waiting, each]);
    }
    ordered.add(each);
  };
  for (const each of work) visit(each, []);
  return [...ordered];
}

function circle(waiting: readonly OrderedWork[]): InputError {
  const [first, ...others] = waiting.map(({ task }) => `"${task ?? ''}"`);
  return new InputError(
    'doBefore',
    `${first ?? ''} would have to be done before itself: it waits for ${others.join(', which waits for ')}`,
    'break the circle of doBefore in the service programme',
  );
}
