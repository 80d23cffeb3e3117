import { EpochDay } from '../shared/calendar-date';
import { LIMIT_KINDS, LimitKind, Whichever } from './rule';
import { Limit } from './limit';

/** The dates of a due item before they are written as text; `Infinity` is beyond the horizon. */
export interface Window {
  driver: LimitKind | null;
  early: EpochDay;
  due: EpochDay;
  late: EpochDay;
  earliest: EpochDay;
  latest: EpochDay;
  /** Some limits are not determined, the dates come from the others. */
  partial: boolean;
}

/**
 * Which limit binds, and the window around it.
 *
 * `first`: the earliest determined limit; the window ends with the earliest late end. `last`: the latest, and
 * nothing at all if any limit is not determined; the window ends with the latest late end. The window starts
 * where the driver's does. On a tie the driver is the first of condition, age, time, distance, hours. A limit
 * beyond the horizon counts as later than every date. The 10 % and 90 % dates are combined in the same way,
 * which is exact as long as one limit only is projected.
 *
 * @returns null where nothing is determined; early <= due <= late and earliest <= due <= latest otherwise
 */
export function windowOf(limits: readonly Limit[], whichever: Whichever): Window | null {
  let driver: Limit | null = null;
  let undetermined = 0;
  let [late, earliest, latest] = [NaN, NaN, NaN];
  const last = whichever === 'last';
  for (const limit of limits) {
    if (limit.due === null) {
      undetermined += 1;
      continue;
    }
    if (driver === null) {
      driver = limit;
      ({ late, earliest, latest } = limit);
      continue;
    }
    late = last ? Math.max(late, limit.late) : Math.min(late, limit.late);
    earliest = last ? Math.max(earliest, limit.earliest) : Math.min(earliest, limit.earliest);
    latest = last ? Math.max(latest, limit.latest) : Math.min(latest, limit.latest);
    if (binds(limit, driver, last)) driver = limit;
  }
  if (driver === null || (last && undetermined > 0)) return null;
  const due = driver.due as EpochDay;
  return {
    driver: Number.isFinite(due) ? driver.kind : null,
    early: driver.early,
    due,
    late,
    earliest,
    latest,
    partial: undetermined > 0,
  };
}

function binds(limit: Limit, driver: Limit, last: boolean): boolean {
  const [due, driverDue] = [limit.due as EpochDay, driver.due as EpochDay];
  if (due !== driverDue) return last ? due > driverDue : due < driverDue;
  return LIMIT_KINDS.indexOf(limit.kind) < LIMIT_KINDS.indexOf(driver.kind);
}
