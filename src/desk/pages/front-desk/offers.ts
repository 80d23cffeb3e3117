import { DateTime } from 'luxon';
import type { Schemas } from '../../api/client';

type FreeTime = Pick<Schemas['FreeTimeDto'], 'workshopId' | 'bayId' | 'startsAt'>;

// one for each key from 1 to 9
export const AT_HOME = 5;
export const ELSEWHERE = 4;
/** how many times are asked for, to choose those from */
export const ASKED = 50;
/** how many workshops the API searches for one answer */
const MOST_WORKSHOPS = 20;

interface Reach {
  isDefault: boolean;
  workshops: readonly { workshopId: string; transferMinutes: number }[];
}

/**
 * The workshop that the desk stands in: what was chosen on this computer, else the one that the person works for, else
 * the nearest to the vehicle.
 */
export function homeWorkshop(
  workshopIds: readonly string[],
  chosen: string | null,
  ofPerson: readonly string[] | null,
  reach: Reach | undefined,
): string | undefined {
  const wanted = [
    chosen,
    ...(ofPerson ?? []),
    ...(reach?.workshops ?? []).map(({ workshopId }) => workshopId),
  ];
  const known = new Set(workshopIds);
  return [...wanted, ...workshopIds].find((id): id is string => id !== null && known.has(id));
}

/** The other workshops that the vehicle can go to, the nearest first. */
export function otherWorkshops(
  workshopIds: readonly string[],
  homeId: string | undefined,
  reach: Reach | undefined,
): string[] {
  const reachable =
    reach === undefined || reach.isDefault
      ? workshopIds
      : reach.workshops.map(({ workshopId }) => workshopId).filter((id) => workshopIds.includes(id));
  return reachable.filter((id) => id !== homeId).slice(0, MOST_WORKSHOPS);
}

/**
 * Times that differ for a caller: the first of every half day, and only then the others, in order of start. A diary
 * offers a start every few minutes.
 */
export function spreadOut<Time extends { startsAt: string; zone: string }>(
  times: readonly Time[],
  count: number,
): Time[] {
  const halves = new Set<string>();
  const [firsts, others]: [Time[], Time[]] = [[], []];
  for (const time of times) {
    const half = DateTime.fromISO(time.startsAt, { zone: time.zone }).toFormat('yyyy-MM-dd a');
    (halves.has(half) ? others : firsts).push(time);
    halves.add(half);
  }
  return [...firsts, ...others]
    .slice(0, count)
    .sort((a, b) => Date.parse(a.startsAt) - Date.parse(b.startsAt));
}

/** The first moment of a day at a workshop; none where there is no such day. */
export function startOfDay(on: string, zone: string): string | undefined {
  const day = DateTime.fromISO(on, { zone });
  return on === '' || !day.isValid ? undefined : day.startOf('day').toUTC().toISO();
}

export const offerKey = ({ workshopId, bayId, startsAt }: FreeTime): string =>
  `${workshopId} ${bayId} ${startsAt}`;

/** `12:00–14:30`; with its day where the end is on another one. */
export function spanText(startsAt: string, endsAt: string, zone: string, locale: string): string {
  const [start, end] = [startsAt, endsAt].map((at) => DateTime.fromISO(at, { zone, locale }));
  if (start === undefined || end === undefined) return '';
  const time = { hour: '2-digit', minute: '2-digit' } as const;
  const day = { weekday: 'short', day: 'numeric', month: 'short' } as const;
  return `${start.toLocaleString(time)}–${end.toLocaleString(start.hasSame(end, 'day') ? time : { ...day, ...time })}`;
}

/** The calendar date of a moment at a workshop. */
export function localDay(at: string, zone: string): string {
  return DateTime.fromISO(at, { zone }).toISODate() ?? at;
}
