import { addMonths, CalendarDate, toEpochDay } from '../../core/shared/calendar-date';
import { roundInterval, type RoundAxis } from '../../platform/pictures/round-axis';

const MILLISECONDS_PER_DAY = 86_400_000;

/** The start of a day in UTC, as a place on the time axis. */
export function timeOf(on: CalendarDate): number {
  return toEpochDay(on) * MILLISECONDS_PER_DAY;
}

export interface PressureAxis extends RoundAxis {
  /** Digits that the figures on the axis need. */
  readonly decimals: number;
}

/**
 * Round figures from below the lowest value to above the highest, some six steps of 1, 2 or 5 times a power of
 * ten, with room below for the marks at the bottom.
 */
export function pressureAxis(values: readonly number[]): PressureAxis {
  const lowest = Math.min(...values);
  const highest = Math.max(...values);
  // less than a tenth of the pressure would show the noise of the gauge as a trend
  const span = Math.max(highest - lowest, 0.1 * Math.abs(highest), 1);
  const widened = (span - (highest - lowest)) / 2;
  const from = Math.max(0, lowest - widened - 0.14 * span);
  const to = highest + widened + 0.06 * span;
  const interval = roundInterval((to - from) / 6);
  return {
    min: Math.floor(from / interval) * interval,
    max: Math.ceil(to / interval) * interval,
    interval,
    decimals: Math.max(0, -Math.floor(Math.log10(interval) + 1e-9)),
  };
}

export interface TimeAxis {
  readonly min: number;
  readonly max: number;
  readonly ticks: readonly number[];
  /** Longer than a year apart: the year is enough. */
  readonly yearsOnly: boolean;
}

const TICK_MONTHS = [1, 2, 3, 6, 12, 24, 60, 120];
const MOST_TICKS = 10;

/** From some days before the first date to some after the last, with ticks on the first of months. */
export function timeAxis(dates: readonly CalendarDate[]): TimeAxis {
  const times = dates.map(timeOf);
  const first = Math.min(...times);
  const last = Math.max(...times);
  const margin = Math.max(0.03 * (last - first), 20 * MILLISECONDS_PER_DAY);
  const min = first - margin;
  const max = last + margin;
  const ticksEvery = (months: number): number[] => {
    const ticks: number[] = [];
    const year = Number(new Date(min).toISOString().slice(0, 4));
    const fromYear = year - (year % Math.max(1, months / 12));
    const start = `${String(Math.floor(fromYear)).padStart(4, '0')}-01-01`;
    for (let k = 0; ; k += months) {
      const time = timeOf(addMonths(start, k));
      if (time > max) return ticks;
      if (time >= min) ticks.push(time);
    }
  };
  const months = TICK_MONTHS.find((step) => ticksEvery(step).length <= MOST_TICKS) ?? 240;
  return { min, max, ticks: ticksEvery(months), yearsOnly: months >= 12 };
}
