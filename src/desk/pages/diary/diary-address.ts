import { addDays, isCalendarDate, isoWeekday } from '../../../core/shared/calendar-date';

/** What the address of the diary says beside the workshop. */
export interface DiaryAddress {
  on: string;
  view: 'day' | 'week';
  /** who or what the columns are */
  by: 'bays' | 'people';
  /** the booking that is open */
  bookingId: string | null;
}

/** What cannot be read counts as not said. */
export function addressOf(search: URLSearchParams, todayOn: string): DiaryAddress {
  const date = search.get('date') ?? '';
  return {
    on: isCalendarDate(date) ? date : todayOn,
    view: search.get('view') === 'week' ? 'week' : 'day',
    by: search.get('by') === 'people' ? 'people' : 'bays',
    bookingId: search.get('booking'),
  };
}

/** The address as it is written; what goes without saying is left out. */
export function searchOf({ on, view, by, bookingId }: DiaryAddress, todayOn: string): URLSearchParams {
  const search = new URLSearchParams();
  if (on !== todayOn) search.set('date', on);
  if (view === 'week') search.set('view', view);
  if (by === 'people') search.set('by', by);
  if (bookingId !== null) search.set('booking', bookingId);
  return search;
}

/** One day or one week on or back. */
export function turned({ on, view }: DiaryAddress, step: 1 | -1): string {
  return addDays(on, view === 'week' ? 7 * step : step);
}

/** Monday to Sunday around a day. */
export function weekAround(on: string): string[] {
  const monday = addDays(on, 1 - isoWeekday(on));
  return Array.from({ length: 7 }, (_, index) => addDays(monday, index));
}
