import { addDays, fromEpochDay, toEpochDay } from '../../../../core/shared/calendar-date';
import { totalAt, type UsageForecast } from '../../../../core/usage/usage-forecast';
import type { Schemas } from '../../../api/client';

/** What a vehicle will have run by a day: the middle, and what it is below and above with 10 % probability. */
export interface BandPoint {
  on: string;
  lowKm: number;
  medianKm: number;
  highKm: number;
}

const STEPS = 24;
/** how far ahead the chart looks */
export const AHEAD_DAYS = 365;

/** The forecast as a band from the newest reading to a year from today; empty where there is none. */
export function forecastBand({
  forecast,
  todayOn,
}: Pick<Schemas['UsageDto'], 'forecast' | 'todayOn'>): BandPoint[] {
  if (forecast === null) return [];
  const originDay = toEpochDay(forecast.originOn);
  const model: UsageForecast = { unit: 'km', ...forecast, originDay };
  const lastDay = Math.min(toEpochDay(addDays(todayOn, AHEAD_DAYS)), originDay + forecast.horizonDays);
  return Array.from({ length: STEPS + 1 }, (_, step) => {
    const day = Math.round(originDay + ((lastDay - originDay) * step) / STEPS);
    return {
      on: fromEpochDay(day),
      lowKm: totalAt(model, day, 0.1),
      medianKm: totalAt(model, day, 0.5),
      highKm: totalAt(model, day, 0.9),
    };
  });
}
