import type { Page } from 'playwright-core';
import { isOpen } from '../../src/desk/pages/front-desk/open-bookings';
import { accessibilityFaults, Desk, faultsOf, sidewaysOverflow, type Visitor } from './desk';

interface DueItem {
  key: string;
  state: string;
}

interface Vehicle {
  id: string;
  registrationMark: string;
}

let desk: Desk;
/** vehicles with work that is due, and with no visit yet */
let owing: Vehicle[];

beforeAll(async () => {
  desk = await Desk.open();
  owing = await withWorkAndNoVisit(4);
}, 300_000);
afterAll(() => desk.close());

async function withWorkAndNoVisit(count: number): Promise<Vehicle[]> {
  const vehicles: Vehicle[] = [];
  for (const vehicle of await desk.api.getAll<Vehicle>('/v1/vehicles')) {
    if (vehicles.length === count) break;
    const { items } = await desk.api.get<{ items: DueItem[] }>(`/v1/vehicles/${vehicle.id}/due-items`);
    if (!items.some(({ state }) => state === 'overdue' || state === 'due')) continue;
    const path = `/v1/bookings?vehicleId=${vehicle.id}`;
    const bookings = await desk.api.getAll<{ id: string; state: string; revision: number }>(path);
    if (bookings.some(({ state }) => !['confirmed', 'cancelled'].includes(state))) continue;
    for (const { id, revision } of bookings)
      await desk.api.send(
        'POST',
        `/v1/bookings/${id}/cancellation`,
        { reason: 'makes room' },
        `"r${revision}"`,
      );
    vehicles.push(vehicle);
  }
  return vehicles;
}

async function atTheDesk(visitor: Partial<Visitor> = {}): Promise<Page> {
  const page = await desk.signedIn('front-desk', visitor);
  await page.goto('/desk/front-desk');
  await search(page).waitFor();
  return page;
}

const search = (page: Page) => page.getByRole('combobox', { name: /registration mark/i });
const freeTimes = (page: Page) =>
  page.getByRole('region', { name: 'Free times' }).getByRole('listitem').getByRole('button');
const hold = (page: Page) => page.getByRole('button', { name: 'Hold this time' });
const firm = (page: Page) => page.getByRole('button', { name: 'Make it firm' });

/** The page as it is has nothing that shuts somebody out. */
async function expectOpenToEverybody(page: Page): Promise<void> {
  expect(await accessibilityFaults(page)).toEqual([]);
  expect(await sidewaysOverflow(page)).toBeLessThanOrEqual(0);
  expect(faultsOf(page)).toEqual([]);
}

async function focused(page: Page): Promise<string> {
  return page.evaluate(() => document.activeElement?.textContent ?? '');
}

/** A free time that may be chosen: the diaries have been read for the work as it is ticked. */
async function timesToBeThere(page: Page): Promise<void> {
  await freeTimes(page).and(page.locator(':enabled')).first().waitFor();
}

it('takes a call from the mark to the booking with a few keys', async () => {
  const [vehicle] = owing;
  const page = await atTheDesk();
  let presses = 0;
  const press = async (key: string): Promise<void> => {
    presses++;
    await page.keyboard.press(key);
  };
  // the field has the focus already
  await page.keyboard.type(vehicle!.registrationMark);
  await press('Enter');
  await page.getByRole('heading', { name: vehicle!.registrationMark }).waitFor();
  await timesToBeThere(page);
  await press('2');
  await page.waitForFunction(() => document.activeElement?.textContent.startsWith('Hold this time'));
  await press('Enter');
  await firm(page).waitFor();
  expect(await page.getByRole('timer').textContent()).toMatch(/^1[45]:\d\d$/);
  await page.waitForFunction(() => document.activeElement?.textContent.startsWith('Make it firm'));
  await press('Enter');
  await page.getByRole('heading', { name: 'Booking', exact: true }).waitFor();
  expect(presses).toBeLessThanOrEqual(12);

  const bookings = await desk.api.getAll<{ state: string; items: unknown[] }>(
    `/v1/bookings?vehicleId=${vehicle!.id}&state=confirmed`,
  );
  expect(bookings).toHaveLength(1);
  expect(bookings[0]!.items).not.toHaveLength(0);
  await page.getByRole('link', { name: 'Show it in the diary' }).waitFor();
  await expectOpenToEverybody(page);

  // reload and back find the call where it was
  await page.reload();
  await page.getByRole('heading', { name: 'Booking', exact: true }).waitFor();
  await page.keyboard.press('n');
  await page.waitForFunction(() => document.activeElement?.getAttribute('role') === 'combobox');
  expect(new URL(page.url()).search).toBe('');
  await page.goBack();
  await page.getByRole('heading', { name: vehicle!.registrationMark }).waitFor();
});

it('gives a time to one of two desks, and offers the other one the nearest', async () => {
  const [, first, second] = owing;
  const [robin, martin] = await Promise.all([atTheDesk(), atTheDesk({ colorScheme: 'dark' })]);
  const work = `Bleed the front calipers for ${first!.registrationMark}`;
  // work that both vehicles need alike, so that both are offered the same first time
  for (const [page, vehicle] of [
    [robin, first],
    [martin, second],
  ] as const) {
    await search(page).fill(vehicle!.registrationMark);
    await page.keyboard.press('Enter');
    await timesToBeThere(page);
    const ticked = page
      .getByRole('group', { name: 'Work of this visit' })
      .getByRole('checkbox', { checked: true });
    while ((await ticked.count()) > 0) await ticked.first().uncheck();
    await page.keyboard.press('x');
    await page.getByLabel('Extra work').fill(work);
    await page.getByLabel('Minutes').fill('45');
    await page.keyboard.press('Enter');
    await page.getByText(`${work}, 45 min`).waitFor();
    await timesToBeThere(page);
    await page.getByLabel('Who called, and how to reach them').fill('Night sister, ward 4');
    await page.keyboard.press('Tab');
  }
  const offered = await freeTimes(robin).first().textContent();
  expect(await freeTimes(martin).first().textContent()).toBe(offered);
  await robin.getByRole('heading', { name: 'Free times' }).click();
  await robin.keyboard.press('1');
  await martin.getByRole('heading', { name: 'Free times' }).click();
  await martin.keyboard.press('1');
  await hold(robin).click();
  await firm(robin).waitFor();
  await expectOpenToEverybody(robin);

  await hold(martin).click();
  const refusal = martin.getByRole('alert');
  await refusal.waitFor();
  expect(await refusal.textContent()).toMatch(/cannot be had any more.*(is taken|another job)/);
  await expectOpenToEverybody(martin);
  // nothing is lost, and the nearest time is one press away
  expect(await martin.getByLabel('Who called, and how to reach them').inputValue()).toBe(
    'Night sister, ward 4',
  );
  await martin.getByText(`${work}, 45 min`).waitFor();
  expect(await focused(martin)).not.toBe(offered);
  await martin.keyboard.press('1');
  await martin.keyboard.press('Enter');
  await firm(martin).waitFor();
  await martin.keyboard.press('f');
  await martin.getByText('For Night sister, ward 4').waitFor();

  // the other caller does not want it after all
  await robin.keyboard.press('g');
  await timesToBeThere(robin);
  const left = await desk.api.getAll<{ state: 'confirmed' }>(`/v1/bookings?vehicleId=${first!.id}`);
  expect(left.filter(isOpen)).toEqual([]);
  expect(faultsOf(robin)).toEqual([]);
});

it('keeps what was typed wrong, and says what to do', async () => {
  const vehicle = owing[3]!;
  const page = await atTheDesk({ width: 320, height: 800, colorScheme: 'dark' });
  await expectOpenToEverybody(page);
  await search(page).fill('no such mark');
  await page.getByText(/Nothing has "no such mark"/).waitFor();
  await expectOpenToEverybody(page);

  await search(page).fill('TVP');
  await page.getByRole('option').first().waitFor();
  await page.keyboard.press('ArrowDown');
  expect(await page.getByRole('option', { selected: true }).textContent()).toBe(
    await page.getByRole('option').nth(1).textContent(),
  );
  await expectOpenToEverybody(page);

  await search(page).fill(vehicle.registrationMark);
  await page.keyboard.press('Enter');
  await timesToBeThere(page);
  await expectOpenToEverybody(page);

  await page.keyboard.press('x');
  await page.getByLabel('Extra work').fill('Knock at the rear 1');
  // digits choose no time while somebody types
  expect(await page.getByRole('button', { pressed: true }).count()).toBe(0);
  await page.getByLabel('Minutes').fill('an hour');
  await page.keyboard.press('Enter');
  await page.getByText('Give whole minutes from 1 to 4800, such as 45.').waitFor();
  expect(await page.getByLabel('Extra work').inputValue()).toBe('Knock at the rear 1');
  await expectOpenToEverybody(page);
  await page.getByLabel('Minutes').fill('60');
  await page.keyboard.press('Enter');
  await page.getByText('Knock at the rear 1, 1 h').waitFor();

  await timesToBeThere(page);
  await freeTimes(page).first().click();
  await page.getByLabel('Who called, and how to reach them').fill('x'.repeat(201));
  await hold(page).click();
  await page
    .getByText(/contact.*200/i)
    .first()
    .waitFor();
  expect(await page.getByLabel('Who called, and how to reach them').inputValue()).toHaveLength(201);
  await expectOpenToEverybody(page);

  // and a reload loses none of it
  await page.getByLabel('Who called, and how to reach them').fill('Day sister');
  await page.reload();
  await page.getByText('Knock at the rear 1, 1 h').waitFor();
  expect(await page.getByLabel('Who called, and how to reach them').inputValue()).toBe('Day sister');
});

it('goes from a gas unit to the vehicle that it is fitted to, held ones plain to see', async () => {
  const held = (await desk.api.getAll<{ vehicleId: string }>('/v1/holds'))[0]!;
  const units = await desk.api.getAll<{ serialNumber: string }>(`/v1/gas-units?vehicleId=${held.vehicleId}`);
  const page = await atTheDesk({ width: 820, height: 1_180 });
  await search(page).fill(units[0]!.serialNumber.slice(1));
  await page.getByRole('option', { name: units[0]!.serialNumber }).click();
  await page.getByText('On hold: do not release', { exact: true }).waitFor();
  expect(new URL(page.url()).searchParams.get('vehicle')).toBe(held.vehicleId);
  await page.getByRole('heading', { name: /^Cautions/ }).waitFor();

  await page.getByText(/^Why/).first().click();
  await page
    .getByText(/^Counted from|^Due |\(rule /)
    .first()
    .waitFor();
  await expectOpenToEverybody(page);

  await page.keyboard.press('?');
  await page.getByRole('dialog', { name: 'Keys of the front desk' }).waitFor();
  await expectOpenToEverybody(page);
  await page.getByLabel('Single keys do something').uncheck();
  await page.getByRole('button', { name: 'Close' }).click();
  await page.keyboard.press('n');
  expect(new URL(page.url()).searchParams.get('vehicle')).toBe(held.vehicleId);
});

it('says when nothing is free, why, and when something is again', async () => {
  const page = await atTheDesk();
  await search(page).fill(owing[3]!.registrationMark);
  await page.keyboard.press('Enter');
  await timesToBeThere(page);
  await page.keyboard.press('x');
  await page.getByLabel('Extra work').fill('Rebuild the whole suspension');
  await page.getByLabel('Minutes').fill('4800');
  await page.keyboard.press('Enter');
  await page
    .getByText(/^Nothing is free up to/)
    .first()
    .waitFor();
  await expectOpenToEverybody(page);
});
