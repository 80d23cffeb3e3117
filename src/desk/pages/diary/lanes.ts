import type { Period } from './day-axis';

/** Which of how many lanes beside each other; lanes are shared by what overlaps, directly or through others. */
export interface Lane {
  lane: number;
  lanes: number;
}

/** Puts what overlaps beside each other: everything gets the first lane that is free. */
export function lanesOf(items: readonly (Period & { id: string })[]): Map<string, Lane> {
  const placed = new Map<string, Lane>();
  const inOrder = [...items].sort((a, b) => a.startsAt - b.startsAt || b.endsAt - a.endsAt);
  let group: { id: string; lane: number }[] = [];
  let laneEnds: number[] = [];
  const close = (): void => {
    for (const { id, lane } of group) placed.set(id, { lane, lanes: laneEnds.length });
    [group, laneEnds] = [[], []];
  };
  for (const { id, startsAt, endsAt } of inOrder) {
    if (laneEnds.every((end) => end <= startsAt)) close();
    const free = laneEnds.findIndex((end) => end <= startsAt);
    const lane = free === -1 ? laneEnds.length : free;
    laneEnds[lane] = endsAt;
    group.push({ id, lane });
  }
  close();
  return placed;
}
