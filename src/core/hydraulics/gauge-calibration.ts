import { CalendarDate } from '../shared/calendar-date';

/**
 * How near to a limit a gauge whose calibration is overdue decides nothing, as a share of the limit. Common
 * practice, no published source.
 */
export const OVERDUE_GAUGE_SHARE = 0.03;

/**
 * Whether a gauge should have been calibrated before a day; on the day by which it has to be, it still counts. Null
 * where the gauge, or that day, is not known.
 */
export function isCalibrationOverdue(
  gauge: { calibrationDueOn: CalendarDate | null } | null | undefined,
  on: CalendarDate,
): boolean | null {
  const dueOn = gauge?.calibrationDueOn ?? null;
  return dueOn === null ? null : dueOn < on;
}
