import { fromEpochDay, toEpochDay, type CalendarDate } from '../../core/shared/calendar-date';
import { assert } from '../../core/shared/assert';
import { milesFromKm } from '../../core/shared/units-of-measure';
import { totalOfValue, totalOn } from '../../core/usage/meter-track';
import type { LeftOutReason } from '../../core/usage/usage-estimate';
import { totalAt, type MeterUnit, type UsageForecast } from '../../core/usage/usage-forecast';
import type { UsageModel } from '../../core/usage/usage-model';
import { meterUseOf, presentDutyClass, replacementsOf, type MeterUse } from './due-input-of';
import type { Meter, VehicleRecords } from './vehicle-records';

/** After so many days without a reading the present rate is hearsay. */
export const STALE_AFTER_DAYS = 90;

/** Total of a meter at the end of a day: known, or the values reached with 10, 50 and 90 % probability. */
export interface TotalOfDay {
  on: CalendarDate;
  how: 'read' | 'interpolated' | 'forecast-backwards' | 'forecast' | 'unknown';
  total: Spread | null;
  /** what the instrument fitted last would show, in its own unit */
  shown: (Spread & { unit: 'km' | 'mi' | 'h' }) | null;
}

export interface Spread {
  /** not exceeded with 10 % probability */
  low: number;
  median: number;
  /** not exceeded with 90 % probability */
  high: number;
}

export interface UsageOfVehicle {
  unit: MeterUnit;
  dutyClass: string;
  estimate: MeterUse['estimate'];
  forecast: UsageForecast | null;
  model: UsageModel;
  lastReading: { on: CalendarDate; total: number } | null;
  used: { on: CalendarDate; total: number }[];
  leftOut: { on: CalendarDate; total: number; reason: LeftOutReason }[];
  onDay: TotalOfDay;
  warnings: { code: string; sentence: string }[];
}

/** How a vehicle is used, told for a reader of `todayOn` who asks about the day `on`. */
export function usageOfVehicle(
  records: VehicleRecords,
  meter: Meter,
  model: UsageModel,
  { todayOn, on, shownUnit }: { todayOn: CalendarDate; on: CalendarDate; shownUnit: 'km' | 'mi' | 'h' },
): UsageOfVehicle {
  const use = meterUseOf(records, meter, () => model);
  const { estimate, forecast, track } = use;
  const last = track.at(-1);
  return {
    unit: model.unit,
    dutyClass: presentDutyClass(records),
    estimate,
    forecast,
    model,
    lastReading: last === undefined ? null : { on: fromEpochDay(last.day), total: last.total },
    used: estimate.used.map(({ day, total }) => ({ on: fromEpochDay(day), total })),
    leftOut: estimate.leftOut.map(({ point, reason }) => ({
      on: fromEpochDay(point.day),
      total: point.total,
      reason,
    })),
    onDay: totalOfDay(use, on, (total) => shownBy(records, meter, total, shownUnit), shownUnit),
    warnings: staleness(last?.day, todayOn, meter),
  };
}

function totalOfDay(
  { track, forecast }: MeterUse,
  on: CalendarDate,
  shown: (total: number) => number,
  unit: 'km' | 'mi' | 'h',
): TotalOfDay {
  const day = toEpochDay(on);
  const answer = (how: TotalOfDay['how'], total: Spread): TotalOfDay => ({
    on,
    how,
    total,
    shown: { low: shown(total.low), median: shown(total.median), high: shown(total.high), unit },
  });
  const found = totalOn(track, day, forecast ?? undefined);
  if (found.total !== null) {
    assert(found.how !== 'outside', 'a known total has its reason');
    return answer(found.how, { low: found.total, median: found.total, high: found.total });
  }
  const isAhead = forecast !== null && day > forecast.originDay;
  if (!isAhead || day > forecast.originDay + forecast.horizonDays) {
    return { on, how: 'unknown', total: null, shown: null };
  }
  const [low, median, high] = [0.1, 0.5, 0.9].map((probability) => totalAt(forecast, day, probability)) as [
    number,
    number,
    number,
  ];
  return answer('forecast', { low, median, high });
}

// Past the last replacement every total is the instrument's value and the same offset.
function shownBy(records: VehicleRecords, meter: Meter, total: number, unit: 'km' | 'mi' | 'h'): number {
  const replacements = replacementsOf(records, meter);
  const newest = replacements.at(-1);
  const value =
    newest === undefined
      ? total
      : total - totalOfValue({ day: newest.day + 1, value: 0, unit: newest.newUnit }, replacements);
  return unit === 'mi' ? milesFromKm(value) : value;
}

function staleness(
  lastDay: number | undefined,
  todayOn: CalendarDate,
  meter: Meter,
): UsageOfVehicle['warnings'] {
  if (lastDay === undefined) return [];
  const days = toEpochDay(todayOn) - lastDay;
  if (days <= STALE_AFTER_DAYS) return [];
  const what = meter === 'odometer' ? 'odometer' : 'engine-hour meter';
  return [
    {
      code: 'stale-reading',
      sentence: `The last reading of the ${what} is ${days} days old (${fromEpochDay(lastDay)}): take a new one.`,
    },
  ];
}
