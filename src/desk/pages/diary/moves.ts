import { DateTime } from 'luxon';
import { MS_PER_MINUTE, MS_PER_QUARTER, overlap, type Period } from './day-axis';

/** Moved by quarters of an hour of real time: over a clock change no quarter is lost or taken twice. */
export function movedByQuarters(startsAt: number, quarters: number): number {
  const last = startsAt / MS_PER_QUARTER;
  // what stands between two quarters goes to the next one first
  const onQuarter = quarters > 0 ? Math.floor(last) : Math.ceil(last);
  return (onQuarter + quarters) * MS_PER_QUARTER;
}

/** The same time by the clock so many days on; where the clock jumps over it, as much later as it jumps. */
export function movedByDays(startsAt: number, days: number, zone: string): number {
  return DateTime.fromMillis(startsAt, { zone }).plus({ days }).toMillis();
}

/** The one beside it; the last one stays. */
export function beside<Item>(items: readonly Item[], item: Item, step: number): Item {
  const index = items.indexOf(item) + step;
  return items[Math.min(items.length - 1, Math.max(0, index))] ?? item;
}

/**
 * When work of some minutes ends that begins at a moment and rests while the workshop is shut.
 *
 * @param open in order, without overlaps
 * @returns null where it is shut at the beginning, or the hours known do not reach to the end
 */
export function endOfWork(startsAt: number, minutes: number, open: readonly Period[]): number | null {
  let left = minutes * MS_PER_MINUTE;
  if (!open.some((window) => window.startsAt <= startsAt && startsAt < window.endsAt)) return null;
  for (const window of open) {
    const from = Math.max(window.startsAt, startsAt);
    if (from >= window.endsAt) continue;
    if (left <= window.endsAt - from) return from + left;
    left -= window.endsAt - from;
  }
  return null;
}

/** Those of the others that take a part of a period. */
export function inTheWay<Item extends Period>(period: Period, others: readonly Item[]): Item[] {
  return others.filter((each) => overlap(period, each));
}

export type Direction = 'up' | 'down' | 'left' | 'right';

interface Spot {
  id: string;
  row: number;
  startsAt: number;
}

/** Where an arrow key goes from one booking: along its own row by time, or to the nearest in time in the row beside. */
export function nextSpot(spots: readonly Spot[], fromId: string, direction: Direction): string | null {
  const from = spots.find(({ id }) => id === fromId);
  if (from === undefined) return null;
  const side = direction === 'left' || direction === 'up' ? -1 : 1;
  const nearest = (candidates: Spot[]): string | null =>
    candidates.sort((a, b) => Math.abs(a.startsAt - from.startsAt) - Math.abs(b.startsAt - from.startsAt))[0]
      ?.id ?? null;
  if (direction === 'up' || direction === 'down')
    return nearest(
      spots.filter(({ row, startsAt }) => row === from.row && (startsAt - from.startsAt) * side > 0),
    );
  const rows = spots.map(({ row }) => row).filter((row) => (row - from.row) * side > 0);
  if (rows.length === 0) return null;
  const beside = side > 0 ? Math.min(...rows) : Math.max(...rows);
  return nearest(spots.filter(({ row }) => row === beside));
}
