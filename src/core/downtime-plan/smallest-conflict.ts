/** Above this many facts a conflict that cannot be made smaller is told, not the smallest of all. */
const MOST_FACTS_BY_SIZE = 14;

/**
 * The smallest set of facts that cannot all hold.
 *
 * @param isPossible whether all wishes can be met while these facts hold; fewer facts never make less possible
 * @returns the facts of a conflict, in the order given; empty where there is none; null where it is impossible whatever
 *   holds
 */
export function smallestConflict<Fact>(
  facts: readonly Fact[],
  isPossible: (inForce: readonly Fact[]) => boolean,
): Fact[] | null {
  if (isPossible(facts)) return [];
  if (!isPossible([])) return null;
  const needed = withoutNeedless(facts, isPossible);
  if (facts.length > MOST_FACTS_BY_SIZE) return needed;
  for (let size = 1; size < needed.length; size++) {
    for (const some of subsetsOfSize(facts, size)) if (!isPossible(some)) return some;
  }
  return needed;
}

/** Drops one fact after the other that the conflict does not need. */
function withoutNeedless<Fact>(
  facts: readonly Fact[],
  isPossible: (inForce: readonly Fact[]) => boolean,
): Fact[] {
  let needed = [...facts];
  for (const fact of facts) {
    const others = needed.filter((each) => each !== fact);
    if (!isPossible(others)) needed = others;
  }
  return needed;
}

function* subsetsOfSize<Fact>(facts: readonly Fact[], size: number): Generator<Fact[]> {
  if (size === 0) {
    yield [];
    return;
  }
  for (let at = 0; at + size <= facts.length; at++)
    for (const rest of subsetsOfSize(facts.slice(at + 1), size - 1)) yield [facts[at]!, ...rest];
}
