import { addDays, type CalendarDate } from '../../core/shared/calendar-date';

export interface HolidayRegion {
  /** country, or country and state: `FR`, `GB-ENG` */
  code: string;
  name: string;
}

// loaded with the first workshop that keeps holidays: the calendars of the world take their memory
const load = async () => (await import('date-holidays')).default;

const MOST_CACHED = 500;
const byRegionAndYear = new Map<string, ReadonlyMap<CalendarDate, string>>();

/**
 * Public holidays of a region from a day until another, with their names; days that are taken instead of one that
 * falls on a weekend are holidays too. Data: npm date-holidays (ISC, CC-BY-3.0), its type `public`.
 */
export async function publicHolidays(
  region: string,
  fromOn: CalendarDate,
  untilOn: CalendarDate,
): Promise<Map<CalendarDate, string>> {
  const found = new Map<CalendarDate, string>();
  for (let year = Number(fromOn.slice(0, 4)); year <= Number(untilOn.slice(0, 4)); year++) {
    for (const [on, name] of await holidaysOfYear(region, year))
      if (on >= fromOn && on < untilOn) found.set(on, name);
  }
  return found;
}

/** Every region whose holidays are known, in order of their codes. */
export async function holidayRegions(): Promise<HolidayRegion[]> {
  const Holidays = await load();
  const calendars = new Holidays();
  const countries = Object.entries(calendars.getCountries('en'));
  return countries
    .flatMap(([country, name]) => [
      { code: country, name },
      ...Object.entries(stateNames(calendars.getStates(country, 'en'))).map(([state, stateName]) => ({
        code: `${country}-${state}`,
        name: `${stateName}, ${name}`,
      })),
    ])
    .sort((a, b) => (a.code < b.code ? -1 : 1));
}

async function holidaysOfYear(region: string, year: number): Promise<ReadonlyMap<CalendarDate, string>> {
  const key = `${region} ${year}`;
  const known = byRegionAndYear.get(key);
  if (known !== undefined) return known;
  const Holidays = await load();
  const [country = '', state] = region.split(/-(.*)/s);
  const calendar =
    state === undefined
      ? new Holidays(country, { types: ['public'] })
      : new Holidays(country, state, { types: ['public'] });
  const days = new Map<CalendarDate, string>();
  for (const { date, name, start, end } of calendar.getHolidays(year)) {
    const length = Math.max(1, Math.round((end.getTime() - start.getTime()) / 86_400_000));
    for (let day = 0; day < length; day++) days.set(addDays(date.slice(0, 10), day), name);
  }
  if (byRegionAndYear.size >= MOST_CACHED) byRegionAndYear.clear();
  byRegionAndYear.set(key, days);
  return days;
}

// undefined where a country has no states
function stateNames(states: Record<string, string> | undefined): Record<string, string> {
  return states ?? {};
}
