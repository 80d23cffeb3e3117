/** Someone who could be in a team. */
export interface Candidate {
  /** Bit i is set where this person can be the i-th of those needed. */
  readonly mask: number;
  /** People of one group have the same shifts. */
  readonly group: number;
}

/**
 * The first team of a size, in the order of preference of its members: the one with the most preferred first
 * member, among those the one with the most preferred second member, and so on.
 *
 * With `separate` every needed person is another one, so the size is the number of needed people. Without it
 * the team covers all that is needed and has nobody whom it could do without.
 *
 * @param candidates most preferred first
 * @param allMask a bit for each needed person
 * @param groups how many different groups the team has
 * @returns indexes into the candidates, or null
 */
export function firstTeam(
  candidates: readonly Candidate[],
  size: number,
  allMask: number,
  separate: boolean,
  groups: number,
): number[] | null {
  // what the candidates from each place on can still add
  const rest: number[] = new Array<number>(candidates.length + 1).fill(0);
  for (let i = candidates.length - 1; i >= 0; i--)
    rest[i] = (rest[i + 1] as number) | (candidates[i] as Candidate).mask;

  const team: number[] = [];
  const masks: number[] = [];
  const extend = (from: number, covered: number): boolean => {
    if (team.length === size) return isTeam(team, masks, covered);
    // an equal candidate further on would do no better than one that failed
    const failed: Candidate[] = [];
    for (let i = from; i < candidates.length; i++) {
      if ((covered | (rest[i] as number)) !== allMask) return false;
      const candidate = candidates[i] as Candidate;
      const { mask, group } = candidate;
      if (mask === 0 || failed.some((other) => other.mask === mask && other.group === group)) continue;
      team.push(i);
      masks.push(mask);
      if (extend(i + 1, covered | mask)) return true;
      team.pop();
      masks.pop();
      failed.push(candidate);
    }
    return false;
  };
  const isTeam = (members: readonly number[], memberMasks: readonly number[], covered: number): boolean =>
    covered === allMask &&
    (groups === 1 || new Set(members.map((i) => (candidates[i] as Candidate).group)).size === groups) &&
    (separate ? canBeSeparate(memberMasks, 0, 0) : isIrredundant(memberMasks, allMask));
  return extend(0, 0) ? team : null;
}

function isIrredundant(masks: readonly number[], allMask: number): boolean {
  return (
    masks.length === 1 ||
    masks.every((_, left) => masks.reduce((sum, mask, i) => (i === left ? sum : sum | mask), 0) !== allMask)
  );
}

// can the members from `from` on each take one of the needs that are not taken yet?
function canBeSeparate(masks: readonly number[], from: number, taken: number): boolean {
  const mask = masks[from];
  if (mask === undefined) return true;
  for (let left = mask & ~taken; left !== 0; left &= left - 1)
    if (canBeSeparate(masks, from + 1, taken | (left & -left))) return true;
  return false;
}
