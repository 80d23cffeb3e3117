import type { Page } from 'playwright-core';
import type { BookingPageDto } from '../../src/modules/bookings/dto/booking.dto';
import type { PlannedVisitPageDto } from '../../src/modules/downtime-plans/dto/planned-visit.dto';
import { accessibilityFaults, Desk, faultsOf, sidewaysOverflow } from './desk';

// the work of the planner runs beside the browser
jest.setTimeout(300_000);
const LONG = 60_000;

let desk: Desk;
beforeAll(async () => {
  desk = await Desk.open();
}, 180_000);
afterAll(() => desk.close());

async function expectSound(page: Page): Promise<void> {
  expect(await accessibilityFaults(page)).toEqual([]);
  expect(await sidewaysOverflow(page)).toBe(0);
}

const openPart = (page: Page, name: string): Promise<void> =>
  page.getByRole('navigation', { name: 'Parts of the planner' }).getByRole('link', { name }).click();

const isReady = (page: Page): Promise<void> =>
  page.getByRole('heading', { name: 'What it comes to' }).waitFor();

const visitButtons = (page: Page) => page.getByRole('button', { name: /^Open the visit of/ });

/** `TVP 104 on Tue, 1 Dec 2026` */
async function visitAt(page: Page, at: number): Promise<string> {
  const name = await visitButtons(page).nth(at).getAttribute('aria-label');
  return (name ?? '').replace('Open the visit of ', '');
}

async function openVisit(page: Page, visit: string): Promise<void> {
  await page.getByRole('button', { name: `Open the visit of ${visit}`, exact: true }).click();
  await page.getByRole('dialog').waitFor();
}

const planIdOf = (page: Page): string => new URL(page.url()).pathname.split('/').at(-1) ?? '';

it('takes a planner from what is due to bookings, and what if', async () => {
  const page = await desk.signedIn('fleet-planner');
  page.setDefaultTimeout(LONG);

  await page.goto('/desk/planner');
  const matrix = page.getByRole('region', { name: 'Due work by depot and ISO week' });
  await matrix.getByRole('button').first().click();
  await page
    .getByRole('button', { name: /^Why\?/ })
    .first()
    .click();
  await page.getByRole('cell').getByRole('listitem').first().waitFor();
  expect(await page.getByRole('link', { name: /^TVP/ }).count()).toBeGreaterThan(0);
  await expectSound(page);

  await openPart(page, 'Availability');
  await page
    .getByRole('list', { name: /by day$/ })
    .first()
    .getByRole('button')
    .first()
    .click();
  await page.getByRole('heading', { name: /^Away on/ }).waitFor();
  await expectSound(page);

  await openPart(page, 'Plans');
  await page.getByLabel('Name').fill('Two weeks');
  await page.getByLabel('How many days').fill('3');
  await page.getByLabel('Effort').selectOption('quick');
  await page.getByRole('button', { name: 'Start the plan' }).click();
  await page.getByText(/days/i).first().waitFor();
  expect(await page.getByLabel('Name').inputValue()).toBe('Two weeks');
  await expectSound(page);
  await page.getByLabel('How many days').fill('14');
  await page.getByRole('button', { name: 'Start the plan' }).click();
  await page.getByRole('heading', { name: 'Two weeks' }).waitFor();
  await isReady(page);
  await visitButtons(page).first().waitFor();
  const firstId = planIdOf(page);
  expect(await page.getByText(/No plan can be .*cheaper/).count()).toBeGreaterThan(0);
  await page
    .getByRole('img', { name: /vehicles on the road/ })
    .first()
    .waitFor();
  await expectSound(page);

  const kept = await visitAt(page, 0);
  const given = await visitAt(page, 1);
  await openVisit(page, kept);
  const dialog = page.getByRole('dialog');
  expect(
    await dialog.getByText(/Done on the day|was due|may not be done|costs less|With |No workshop/).count(),
  ).toBeGreaterThan(0);
  await expectSound(page);
  await dialog.getByRole('button', { name: 'Lock this visit' }).click();
  await dialog.getByRole('button', { name: 'Let it go' }).waitFor();
  await dialog.getByRole('button', { name: 'Close' }).click();
  await openVisit(page, given);
  await dialog.getByRole('button', { name: 'Forbid this day' }).click();
  await dialog.getByRole('button', { name: 'Close' }).click();
  await page.getByText('Wait for the next plan').waitFor();
  await expectSound(page);

  await page.getByRole('button', { name: 'Plan again' }).click();
  await page.waitForURL((url) => !url.pathname.endsWith(firstId));
  await isReady(page);
  await page.getByText(/^Against/).waitFor();
  await visitButtons(page).first().waitFor();
  const planId = planIdOf(page);
  expect(await page.getByRole('button', { name: `Open the visit of ${given}`, exact: true }).count()).toBe(0);
  await openVisit(page, kept);
  await dialog.getByText('Locked', { exact: true }).waitFor();

  await dialog.getByRole('button', { name: 'Accept this visit' }).click();
  await dialog.waitFor({ state: 'hidden' });
  const row = page
    .getByRole('row')
    .filter({ has: page.getByRole('button', { name: `Open the visit of ${kept}`, exact: true }) });
  await row.getByText('Booked', { exact: true }).waitFor();
  const visits = (): Promise<PlannedVisitPageDto> =>
    desk.api.get<PlannedVisitPageDto>(`/v1/downtime-plans/${planId}/visits?limit=500`);
  expect((await visits()).items.filter(({ acceptance }) => acceptance === 'booked')).toHaveLength(1);

  await page.getByRole('button', { name: /^Accept all/ }).click();
  await page.getByText(/^(All booked|\d+ could not be booked)$/).waitFor();
  const decided = (await visits()).items;
  expect(decided.filter(({ acceptance }) => acceptance === 'open')).toEqual([]);
  const bookings = await desk.api.get<BookingPageDto>('/v1/bookings?limit=500');
  const bookingIds = new Set(bookings.items.map(({ id }) => id));
  for (const { acceptance, bookingId } of decided)
    expect(acceptance !== 'booked' || bookingIds.has(bookingId ?? '')).toBe(true);
  await openVisit(page, kept);
  await dialog.getByRole('link', { name: 'To the booking in the diary' }).waitFor();
  await dialog.getByRole('button', { name: 'Close' }).click();
  await page.getByLabel('Show visits').selectOption('calendar');
  await page.getByRole('region', { name: 'Visits by vehicle and day' }).getByRole('button').first().waitFor();
  await expectSound(page);

  await openPart(page, 'What if');
  await page.getByRole('button', { name: 'Assume it' }).click();
  await page.getByRole('button', { name: 'Plan as if it were so' }).click();
  await page.getByRole('heading', { name: 'Side by side' }).waitFor();
  expect(await page.getByRole('table', { name: 'Figures of the plans side by side' }).count()).toBe(1);
  await expectSound(page);
  expect(faultsOf(page)).toEqual([]);
});

it('lets the front desk look at plans and change nothing', async () => {
  const page = await desk.signedIn('front-desk');
  page.setDefaultTimeout(LONG);
  await page.goto('/desk/planner/plans');
  await page.getByText('You can look at plans.').waitFor();
  expect(await page.getByRole('button', { name: 'Start the plan' }).count()).toBe(0);
  // the first plan: of the later ones nothing may be left to visit
  await page.getByRole('link', { name: 'Two weeks', exact: true }).last().click();
  await isReady(page);
  await visitButtons(page).first().click();
  const dialog = page.getByRole('dialog');
  await dialog.getByRole('button', { name: 'Close' }).waitFor();
  for (const name of [/Accept/, /Lock/, /Forbid/, /Move/])
    expect(await dialog.getByRole('button', { name }).count()).toBe(0);
  const refused = await page.request.post('/v1/downtime-plans', {
    data: { basedOnId: planIdOf(page) },
    headers: { origin: desk.address },
  });
  expect(refused.status()).toBe(403);
  await page.goto('/desk/planner/settings');
  await page.getByText('You can look at these.').waitFor();
  expect(await page.getByLabel('Currency').isDisabled()).toBe(true);
  await expectSound(page);
  expect(faultsOf(page)).toEqual([]);
});

it('changes a roster, and tells demand with a table and a file', async () => {
  const page = await desk.signedIn('fleet-planner');
  page.setDefaultTimeout(LONG);
  await page.goto('/desk/planner/settings');
  await page.getByLabel('Sunday').fill('eleven');
  await page.getByText('Give a whole number, 0 or more.').waitFor();
  await page.getByLabel('Sunday').fill('11');
  await page.getByRole('button', { name: 'Save the roster' }).click();
  await page.getByText('The roster is saved.').waitFor();
  await expectSound(page);

  await openPart(page, 'Demand');
  await page.getByRole('table', { name: 'Demand by month, each with its band' }).waitFor();
  const [file] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save as CSV' }).click(),
  ]);
  expect(file.suggestedFilename()).toBe('demand.csv');
  await page.getByText(/^Prices/).click();
  await page.getByLabel('Labour, for one h').fill('50');
  await page.getByRole('table', { name: 'Money by month' }).waitFor();
  await expectSound(page);
  expect(faultsOf(page)).toEqual([]);
});

it.each(['due', 'availability', 'plans', 'what-if', 'demand', 'settings'])(
  'is whole in the dark at 320 pixels: %s',
  async (part) => {
    const page = await desk.signedIn('fleet-planner', { width: 320, colorScheme: 'dark' });
    await page.goto(`/desk/planner/${part}`);
    await page.getByRole('navigation', { name: 'Parts of the planner' }).waitFor();
    await page.waitForLoadState('networkidle');
    await expectSound(page);
    expect(faultsOf(page)).toEqual([]);
  },
);
