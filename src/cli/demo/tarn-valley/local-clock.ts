import { DateTime } from 'luxon';
import { EpochDay, fromEpochDay, startOfLocalDay } from '../../../core/shared/calendar-date';

/** A change of a zone's offset: the first instant with the new one, in milliseconds since the epoch. */
export interface ClockChange {
  changeAt: number;
  zone: string;
  direction: 'forward' | 'back';
}

const starts = new Map<string, number>();

/** First instant of a local day. */
export function dayStartAt(day: EpochDay, zone: string): number {
  const key = `${zone} ${day}`;
  let start = starts.get(key);
  if (start === undefined) {
    start = startOfLocalDay(fromEpochDay(day), zone);
    starts.set(key, start);
  }
  return start;
}

/** Instant at a share (0 up to 1) of a local day, which may be 23 or 25 hours long; whole seconds. */
export function instantWithinDay(day: EpochDay, share: number, zone: string): number {
  const start = dayStartAt(day, zone);
  return start + Math.round((share * (dayStartAt(day + 1, zone) - start)) / 1000) * 1000;
}

/** Instant as RFC 3339 text with the offset that the zone has then. */
export function localInstantText(instant: number, zone: string): string {
  return DateTime.fromMillis(instant, { zone }).toFormat("yyyy-MM-dd'T'HH:mm:ssZZ");
}

/** The latest clock change of a zone before a day begins, of either kind or of the one asked for. */
export function latestClockChange(
  zone: string,
  before: EpochDay,
  direction?: ClockChange['direction'],
): ClockChange | undefined {
  for (let day = before - 1; day > before - 400; day -= 1) {
    const [from, to] = [dayStartAt(day, zone), dayStartAt(day + 1, zone)];
    const [oldOffset, newOffset] = [offsetAt(from, zone), offsetAt(to, zone)];
    const found = newOffset > oldOffset ? 'forward' : 'back';
    if (newOffset === oldOffset || (direction !== undefined && direction !== found)) continue;
    let [low, high] = [from, to];
    while (high - low > 1) {
      const middle = Math.floor((low + high) / 2);
      if (offsetAt(middle, zone) === oldOffset) low = middle;
      else high = middle;
    }
    return { changeAt: high, zone, direction: found };
  }
  return undefined;
}

function offsetAt(instant: number, zone: string): number {
  return DateTime.fromMillis(instant, { zone }).offset;
}
