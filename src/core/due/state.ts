import { CalendarDate } from '../shared/calendar-date';
import { DueItem } from './due-item';

export const DUE_STATES = ['overdue', 'due', 'due-soon', 'not-due', 'undetermined'] as const;
export type DueState = (typeof DUE_STATES)[number];

/** The part of a due item that its state hangs on. */
export type DatedItem = Pick<DueItem, 'earlyOn' | 'dueOn' | 'lateOn' | 'beyondHorizon'>;

/**
 * The state of a due item on a local day of the vehicle's depot: `overdue` after the window, `due` from the
 * due date, `due-soon` from the start of the window, else `not-due`; `undetermined` where no limit could be
 * told. An item beyond the horizon of the forecasts is `not-due`.
 */
export function stateOn(item: DatedItem, today: CalendarDate): DueState {
  if (item.dueOn === null) return item.beyondHorizon ? 'not-due' : 'undetermined';
  if (item.lateOn !== null && today > item.lateOn) return 'overdue';
  if (today >= item.dueOn) return 'due';
  return item.earlyOn !== null && today >= item.earlyOn ? 'due-soon' : 'not-due';
}
