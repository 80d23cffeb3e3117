import { DateTime } from 'luxon';
import { addDays, startOfLocalDay } from '../../../core/shared/calendar-date';

export const MS_PER_MINUTE = 60_000;
export const MS_PER_QUARTER = 15 * MS_PER_MINUTE;

/** Half open, in milliseconds. */
export interface Period {
  startsAt: number;
  endsAt: number;
}

/** The part of a day that is drawn, with the full hours on the workshop's clock. */
export interface Axis extends Period {
  hours: readonly number[];
}

/** A share of the axis: where it begins and how much of it is taken, 0 to 1. */
export interface Share {
  from: number;
  length: number;
}

// what is drawn of a day on which nothing happens
const QUIET_HOURS = { from: 8, until: 18 };

export const periodOf = ({ startsAt, endsAt }: { startsAt: string; endsAt: string }): Period => ({
  startsAt: Date.parse(startsAt),
  endsAt: Date.parse(endsAt),
});

/** A calendar day at a place; 23 or 25 hours long where the clock changes. */
export function dayPeriod(on: string, zone: string): Period {
  return { startsAt: startOfLocalDay(on, zone), endsAt: startOfLocalDay(addDays(on, 1), zone) };
}

/** The part of `whole` in which `period` lies; null where it lies outside. */
export function clipped(period: Period, whole: Period): Period | null {
  const startsAt = Math.max(period.startsAt, whole.startsAt);
  const endsAt = Math.min(period.endsAt, whole.endsAt);
  return startsAt < endsAt ? { startsAt, endsAt } : null;
}

export const overlap = (one: Period, other: Period): boolean => clipped(one, other) !== null;

/** Full hours around everything that happens on a day. */
export function axisOf(on: string, zone: string, periods: readonly Period[]): Axis {
  const day = dayPeriod(on, zone);
  const within = periods.map((each) => clipped(each, day)).filter((each) => each !== null);
  const moment = (at: number): DateTime => DateTime.fromMillis(at, { zone });
  const noon = moment(day.startsAt).set({ hour: 12 });
  const first =
    within.length === 0
      ? noon.set({ hour: QUIET_HOURS.from })
      : moment(Math.min(...within.map(({ startsAt }) => startsAt))).startOf('hour');
  const lastAt = Math.max(...within.map(({ endsAt }) => endsAt));
  const last =
    within.length === 0
      ? noon.set({ hour: QUIET_HOURS.until })
      : moment(lastAt - 1)
          .startOf('hour')
          .plus({ hours: 1 });
  const [startsAt, endsAt] = [first.toMillis(), Math.min(last.toMillis(), day.endsAt)];
  const hours: number[] = [];
  for (let at = startsAt; at < endsAt; at += 60 * MS_PER_MINUTE) hours.push(at);
  return { startsAt, endsAt, hours };
}

/** Where a period is drawn; null where nothing of it is to be seen. */
export function shareOf(period: Period, axis: Period): Share | null {
  const seen = clipped(period, axis);
  if (seen === null) return null;
  const whole = axis.endsAt - axis.startsAt;
  return { from: (seen.startsAt - axis.startsAt) / whole, length: (seen.endsAt - seen.startsAt) / whole };
}

/** The quarter of an hour nearest to a share of the axis. Every zone's clock is whole quarters from UTC. */
export function quarterAt(share: number, axis: Period): number {
  const at = axis.startsAt + share * (axis.endsAt - axis.startsAt);
  return Math.round(at / MS_PER_QUARTER) * MS_PER_QUARTER;
}
