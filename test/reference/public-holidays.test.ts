import { holidayRegions, publicHolidays } from '../../src/modules/workshops/public-holidays';

// Public holidays 2024 to 2026. Lists made with npm date-holidays 3.37.0 (ISC, CC-BY-3.0) and cross-checked with Debian
// python3-holidays 0.10.1. Known differences between the two: Assumption in Bavaria (law only where most people are
// Catholic: not in these lists), Juneteenth in the USA (law of 2021, missing in the old package), 5 May 2025 in the
// Netherlands (day off every five years: missing in these lists).
const HOLIDAYS: Record<string, string> = {
  'DE-BY':
    '2024: 01-01 01-06 03-29 04-01 05-01 05-09 05-20 05-30 10-03 11-01 12-25 12-26; ' +
    '2025: 01-01 01-06 04-18 04-21 05-01 05-29 06-09 06-19 10-03 11-01 12-25 12-26; ' +
    '2026: 01-01 01-06 04-03 04-06 05-01 05-14 05-25 06-04 10-03 11-01 12-25 12-26',
  'GB-ENG':
    '2024: 01-01 03-29 04-01 05-06 05-27 08-26 12-25 12-26; ' +
    '2025: 01-01 04-18 04-21 05-05 05-26 08-25 12-25 12-26; ' +
    '2026: 01-01 04-03 04-06 05-04 05-25 08-31 12-25 12-26 12-28',
  FR:
    '2024: 01-01 04-01 05-01 05-08 05-09 05-20 07-14 08-15 11-01 11-11 12-25; ' +
    '2025: 01-01 04-21 05-01 05-08 05-29 06-09 07-14 08-15 11-01 11-11 12-25; ' +
    '2026: 01-01 04-06 05-01 05-08 05-14 05-25 07-14 08-15 11-01 11-11 12-25',
  US:
    '2024: 01-01 01-15 02-19 05-27 06-19 07-04 09-02 10-14 11-11 11-28 12-25; ' +
    '2025: 01-01 01-20 02-17 05-26 06-19 07-04 09-01 10-13 11-11 11-27 12-25; ' +
    '2026: 01-01 01-19 02-16 05-25 06-19 07-03 07-04 09-07 10-12 11-11 11-26 12-25',
  NL:
    '2024: 01-01 03-31 04-01 04-27 05-09 05-19 05-20 12-25 12-26; ' +
    '2025: 01-01 04-20 04-21 04-26 05-29 06-08 06-09 12-25 12-26; ' +
    '2026: 01-01 04-05 04-06 04-27 05-14 05-24 05-25 12-25 12-26',
  AT:
    '2024: 01-01 01-06 04-01 05-01 05-09 05-20 05-30 08-15 10-26 11-01 12-08 12-25 12-26; ' +
    '2025: 01-01 01-06 04-21 05-01 05-29 06-09 06-19 08-15 10-26 11-01 12-08 12-25 12-26; ' +
    '2026: 01-01 01-06 04-06 05-01 05-14 05-25 06-04 08-15 10-26 11-01 12-08 12-25 12-26',
};

test.each(Object.entries(HOLIDAYS))('public holidays of %s', async (region, years) => {
  for (const line of years.split('; ')) {
    const [year = '', days = ''] = line.split(': ');
    const found = await publicHolidays(region, `${year}-01-01`, `${Number(year) + 1}-01-01`);
    expect([...new Set([...found.keys()].map((on) => on.slice(5)))].sort()).toEqual(
      [...new Set(days.split(' '))].sort(),
    );
  }
});

test('holidays have names, and a range its own only', async () => {
  expect([...(await publicHolidays('GB-ENG', '2026-12-20', '2027-01-01'))]).toEqual([
    ['2026-12-25', 'Christmas Day'],
    ['2026-12-26', 'Boxing Day'],
    ['2026-12-28', 'Boxing Day (substitute day)'],
  ]);
});

test('regions are countries and their states', async () => {
  const regions = await holidayRegions();
  expect(regions).toContainEqual({ code: 'GB-ENG', name: 'England, United Kingdom' });
  expect(regions).toContainEqual({ code: 'FR', name: 'France' });
  expect(new Set(regions.map(({ code }) => code)).size).toBe(regions.length);
});
