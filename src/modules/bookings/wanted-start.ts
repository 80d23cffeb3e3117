import { parseInstant } from '../../core/shared/instant';
import { notAWholeMinute, tooFarAhead, tooLongAgo } from './bookings.errors';

const MS_PER_MINUTE = 60_000;
const MS_PER_DAY = 86_400_000;
/** Hours of opening and of people are not planned further. */
const FURTHEST_DAYS = 730;

/**
 * The start that somebody wants, in milliseconds. A vehicle that came this morning may still be booked in.
 *
 * @throws CodedError for one that is no whole minute, more than a day ago or too far ahead
 */
export function wantedStart(text: string, nowAt: number): number {
  const startsAt = parseInstant(text, 'startsAt');
  if (startsAt % MS_PER_MINUTE !== 0) throw notAWholeMinute();
  if (startsAt < nowAt - MS_PER_DAY) throw tooLongAgo(text);
  if (startsAt > nowAt + FURTHEST_DAYS * MS_PER_DAY) throw tooFarAhead(FURTHEST_DAYS);
  return startsAt;
}
