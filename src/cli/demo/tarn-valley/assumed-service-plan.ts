import {
  CalendarDate,
  EpochDay,
  addDays,
  addMonths,
  fromEpochDay,
  toEpochDay,
} from '../../../core/shared/calendar-date';
import { DutyClass } from './fleet-vehicles';
import { TrueDistancePath, dayOfReaching, totalKmAtStartOf } from './true-distance-path';

/** Tasks that the demo operator does together, at the interval that its workshop works to. */
export interface WorkPackage {
  name: 'safety-tests' | 'inspection' | 'fluid' | 'gas';
  tasks: readonly string[];
  everyMonths: number;
  everyKm?: number;
}

/**
 * The intervals by which the invented history was kept: from memory, confirm against the maker's schedule.
 * They shape the demo data only; what is due is worked out from the service programme.
 */
export const ASSUMED_SERVICE_PLAN: readonly WorkPackage[] = [
  {
    name: 'safety-tests',
    tasks: ['low-pressure-warning-test', 'brake-reserve-test', 'anti-sink-hold-test'],
    everyMonths: 12,
  },
  {
    name: 'inspection',
    tasks: ['hose-and-pipe-inspection', 'regulator-cycle-test'],
    everyMonths: 12,
    everyKm: 30_000,
  },
  { name: 'fluid', tasks: ['fluid-change', 'filter-clean'], everyMonths: 24, everyKm: 60_000 },
  { name: 'gas', tasks: ['precharge-test'], everyMonths: 24, everyKm: 40_000 },
];

/** Early and late tolerance to which the history was kept, days. */
export const ASSUMED_EARLY_DAYS = 30;
export const ASSUMED_LATE_DAYS = 14;

/** What the assumed plan multiplies its intervals by. */
export const ASSUMED_SEVERITY: Readonly<Record<DutyClass, number>> = {
  standard: 1,
  'urban-stop-start': 0.8,
  'long-distance': 1,
  'rough-road': 0.7,
};

/** The day on which a package done on a day is due again by the true use: the earlier of time and distance. */
export function nextDueDay(
  work: WorkPackage,
  doneDay: EpochDay,
  dutyClass: DutyClass,
  path: TrueDistancePath,
): EpochDay {
  const severity = ASSUMED_SEVERITY[dutyClass];
  const byTime = toEpochDay(addScaledMonths(fromEpochDay(doneDay), work.everyMonths, severity));
  if (work.everyKm === undefined) return byTime;
  return Math.min(
    byTime,
    dayOfReaching(path, totalKmAtStartOf(path, doneDay) + Math.floor(work.everyKm * severity)),
  );
}

// whole months by the calendar, the remaining fraction as thirtieths of a month rounded down; in tenths
// of a month first, because 24 × 0.7 is a little less than 16.8 in binary
function addScaledMonths(from: CalendarDate, months: number, severity: number): CalendarDate {
  const tenths = Math.round(months * severity * 10);
  return addDays(addMonths(from, Math.floor(tenths / 10)), (tenths % 10) * 3);
}
