import { addDays, daysBetween, isoWeekday } from '../../../core/shared/calendar-date';

/** Where a stretch of days lies in a strip of days, in shares of its length; null outside it. */
export function placeInStrip(
  { fromOn, lastOn }: { fromOn: string; lastOn: string },
  strip: { fromOn: string; dayCount: number },
): { start: number; length: number } | null {
  const first = Math.max(0, daysBetween(strip.fromOn, fromOn));
  const end = Math.min(strip.dayCount, daysBetween(strip.fromOn, lastOn) + 1);
  return first >= end ? null : { start: first / strip.dayCount, length: (end - first) / strip.dayCount };
}

/** The Mondays of a strip, where its weeks are marked. */
export function mondaysOf({ fromOn, dayCount }: { fromOn: string; dayCount: number }): string[] {
  const first = (8 - isoWeekday(fromOn)) % 7;
  return Array.from({ length: Math.max(0, Math.ceil((dayCount - first) / 7)) }, (_, week) =>
    addDays(fromOn, first + 7 * week),
  );
}
