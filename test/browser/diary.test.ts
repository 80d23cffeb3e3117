import type { Page } from 'playwright-core';
import type { BookingDto } from '../../src/modules/bookings/dto/booking.dto';
import type { VehicleDto } from '../../src/modules/vehicles/dto/vehicle.dto';
import type { BayDto } from '../../src/modules/workshops/dto/bay.dto';
import type { TechnicianDto } from '../../src/modules/workshops/dto/technician.dto';
import type { WorkshopDto } from '../../src/modules/workshops/dto/workshop.dto';
import { asOwner } from '../support/api-client';
import { accessibilityFaults, Desk, faultsOf, sidewaysOverflow, type Visitor } from './desk';

const HOURS = [
  { from: '08:00', until: '12:00' },
  { from: '13:00', until: '17:00' },
];
const WORKDAYS = [1, 2, 3, 4, 5].map((weekday) => ({ weekday, windows: HOURS }));

let desk: Desk;
let workshop: WorkshopDto;
let bays: BayDto[];
let people: TechnicianDto[];
let vehicles: VehicleDto[];
let nextVehicle = 0;

beforeAll(async () => {
  desk = await Desk.open();
  const { api } = desk;
  workshop = await api.send('POST', '/v1/workshops', {
    name: 'Ghyll Head workshop',
    zone: 'Europe/London',
    weeklyHours: WORKDAYS,
    vehicleStay: 'over-breaks',
    minutesBefore: 0,
    minutesAfter: 0,
  });
  const of = `/v1/workshops/${workshop.id}`;
  const examination = {
    startsAt: '2026-11-26T15:00:00Z',
    endsAt: '2026-11-26T16:00:00Z',
    reason: 'lift examination',
  };
  const course = { startsAt: '2026-11-26T13:00:00Z', endsAt: '2026-11-26T17:00:00Z', reason: 'course' };
  bays = [
    await api.send('POST', `${of}/bays`, { name: 'Lift A', kinds: ['lift'] }),
    await api.send('POST', `${of}/bays`, { name: 'Lift B', kinds: ['lift'], closures: [examination] }),
  ];
  const person = { competences: [], shifts: WORKDAYS };
  people = [
    await api.send('POST', `${of}/technicians`, { ...person, name: 'Juniper' }),
    await api.send('POST', `${of}/technicians`, { ...person, name: 'Spruce', absences: [course] }),
  ];
  vehicles = await api.getAll('/v1/vehicles?limit=500');
}, 180_000);
afterAll(() => desk.close());

interface Booked {
  booking: BookingDto;
  mark: string;
}

/** Books a vehicle that has nothing else to do into a bay; each bay has its own person here. */
async function book(
  startsAt: string,
  bay: 0 | 1,
  more: { minutes?: number; holdMinutes?: number } = {},
): Promise<Booked> {
  const vehicle = vehicles[nextVehicle++];
  const { minutes = 60, ...hold } = more;
  const booking = await desk.api.send<BookingDto>('POST', '/v1/bookings', {
    vehicleId: vehicle?.id,
    workshopId: workshop.id,
    startsAt,
    bayId: bays[bay]?.id,
    technicianIds: [people[bay]?.id],
    dueItemKeys: [],
    extraWork: [{ title: 'Look for a leak at the height corrector', minutes }],
    contact: 'the duty manager, extension 12',
    ...hold,
  });
  return { booking, mark: vehicle?.registrationMark ?? '' };
}

const stored = ({ booking }: Booked): Promise<BookingDto> => desk.api.get(`/v1/bookings/${booking.id}`);

async function diaryOf(
  role: 'front-desk' | 'technician',
  search: string,
  visitor: Partial<Visitor> = {},
): Promise<Page> {
  const page = await desk.signedIn(role, visitor);
  await page.goto(`/desk/diary/${workshop.id}?${search}`);
  await page.getByRole('heading', { level: 1, name: 'Diary of Ghyll Head workshop' }).waitFor();
  return page;
}

const column = (page: Page, name: string) => page.getByRole('group', { name, exact: true });
const tile = (page: Page, { mark }: Booked) => page.getByRole('button', { name: mark });
const said = (page: Page, text: string) => page.getByRole('status').filter({ hasText: text });

/** Nothing wrong for whoever hears, enlarges or types; nothing thrown, nothing refused by the browser. */
async function expectSound(page: Page): Promise<void> {
  expect(await accessibilityFaults(page)).toEqual([]);
  // below nothing where room is kept for a scroll bar
  expect(await sidewaysOverflow(page)).toBeLessThanOrEqual(0);
  expect(faultsOf(page)).toEqual([]);
}

describe('a front desk with the keyboard', () => {
  it('moves a booking to a free time, and hears where it goes', async () => {
    const one = await book('2026-11-26T09:00:00Z', 0);
    const page = await diaryOf('front-desk', 'date=2026-11-26');
    await column(page, 'Lift A').getByRole('button', { name: one.mark }).focus();
    await page.keyboard.press('m');
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('ArrowDown');
    await said(page, '09:30–10:30, Lift A, Juniper.').waitFor({ state: 'attached' });
    await expectSound(page);
    await page.keyboard.press('Enter');
    await said(page, `${one.mark} stands at Thu, 26 Nov 2026, 09:30, Lift A, Juniper now.`).waitFor({
      state: 'attached',
    });
    expect(await tile(page, one).innerText()).toContain('09:30–10:30');
    expect(await tile(page, one).evaluate((element) => element === document.activeElement)).toBe(true);
    expect((await stored(one)).startsAt).toBe('2026-11-26T09:30:00.000Z');

    // Escape leaves it where it stands
    await page.keyboard.press('m');
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('PageDown');
    await said(page, 'Fri, 27 Nov 2026, 09:30–10:30, Lift B').waitFor({ state: 'attached' });
    await page.keyboard.press('Escape');
    await said(page, 'stands where it was: Thu, 26 Nov 2026, 09:30').waitFor({ state: 'attached' });
    await column(page, 'Lift A').getByRole('button', { name: one.mark }).waitFor();
    expect(await stored(one)).toMatchObject({ revision: 2, bayId: bays[0]?.id });
  });

  it('is refused a time that is taken, with the reason, and takes the nearest free one with one press', async () => {
    const one = await book('2026-11-27T09:00:00Z', 0);
    await book('2026-11-27T10:00:00Z', 0);
    const page = await diaryOf('front-desk', 'date=2026-11-27');
    await tile(page, one).focus();
    await page.keyboard.press('m');
    await page.keyboard.press('Shift+ArrowDown');
    await said(page, 'Taken by').waitFor({ state: 'attached' });
    await page.keyboard.press('Enter');
    const reason = page.getByRole('alert');
    await reason.waitFor();
    expect(await reason.innerText()).toContain('Lift A is taken from Fri 27 Nov 2026, 10:00 to 11:00.');
    expect((await stored(one)).revision).toBe(1);
    expect(await tile(page, one).innerText()).toContain('09:00–10:00');
    await expectSound(page);

    const nearest = page.getByRole('button', { name: /^Take Fri 27 Nov 2026/ }).first();
    const offered = await nearest.innerText();
    await page.keyboard.press('t');
    await said(page, 'stands at Fri, 27 Nov 2026').waitFor({ state: 'attached' });
    const { startsAt, revision } = await stored(one);
    expect(revision).toBe(2);
    expect(offered).toContain(startsAt.slice(11, 16));
    await reason.waitFor({ state: 'detached' });
  });

  it('turns the page and chooses the view with single keys, but not while typing', async () => {
    const page = await diaryOf('front-desk', 'date=2026-12-31');
    const shown = page.getByText(/week \d{4}-W\d\d/);
    expect(await shown.innerText()).toBe('Thu, 31 Dec 2026, week 2026-W53');
    await page.keyboard.press('n');
    await page.getByText('Fri, 1 Jan 2027, week 2026-W53').waitFor();
    await page.keyboard.press('w');
    await page.getByRole('table', { name: 'Week 2026-W53 by bay' }).waitFor();
    await expectSound(page);
    await page.keyboard.press('b');
    await page.getByRole('rowheader', { name: 'Juniper' }).waitFor();
    await page.keyboard.press('t');
    await page.getByText('Wed, 25 Nov 2026').waitFor();

    await page.getByRole('combobox', { name: 'Workshop' }).focus();
    await page.keyboard.press('n');
    expect(await shown.innerText()).toContain('Wed, 25 Nov 2026');

    await page.getByRole('button', { name: 'Keys' }).click();
    const keys = page.getByRole('dialog', { name: 'Keys of the diary' });
    await expectSound(page);
    await keys.getByRole('checkbox', { name: /Single keys/ }).uncheck();
    await page.keyboard.press('Escape');
    await page.getByRole('heading', { level: 1 }).click();
    await page.keyboard.press('n');
    expect(await shown.innerText()).toContain('Wed, 25 Nov 2026');
  });
});

describe('with the mouse', () => {
  it('a booking is dragged to another bay and time', async () => {
    const one = await book('2026-11-30T09:00:00Z', 0);
    const page = await diaryOf('front-desk', 'date=2026-11-30');
    const from = await tile(page, one).boundingBox();
    const to = await column(page, 'Lift B').boundingBox();
    if (from === null || to === null) throw new Error('the diary is not drawn');
    const [x, y] = [from.x + from.width / 2, from.y + 10];
    // an hour long, so as high as an hour
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(to.x + to.width / 2, y + from.height, { steps: 8 });
    await said(page, '10:00–11:00, Lift B, Juniper.').waitFor({ state: 'attached' });
    await page.mouse.up();
    await said(page, 'stands at Mon, 30 Nov 2026, 10:00, Lift B').waitFor({ state: 'attached' });
    expect(await stored(one)).toMatchObject({ startsAt: '2026-11-30T10:00:00.000Z', bayId: bays[1]?.id });
    await column(page, 'Lift B').getByRole('button', { name: one.mark }).waitFor();

    // Escape lets go of it
    await tile(page, one).hover();
    await page.mouse.down();
    await page.mouse.move(x, y, { steps: 8 });
    await page.keyboard.press('Escape');
    await page.mouse.up();
    await said(page, 'stands where it was').waitFor({ state: 'attached' });
    expect((await stored(one)).revision).toBe(2);
    // the keyboard opens it all the same
    await tile(page, one).focus();
    await page.keyboard.press('Enter');
    await page.getByRole('dialog', { name: `Booking of ${one.mark}` }).waitFor();
    expect(faultsOf(page)).toEqual([]);
  });

  it('a drag onto a taken time is refused, and the booking stands where it was', async () => {
    const one = await book('2026-12-21T09:00:00Z', 0);
    const other = await book('2026-12-21T11:00:00Z', 0);
    const page = await diaryOf('front-desk', 'date=2026-12-21');
    const [from, to] = [await tile(page, one).boundingBox(), await tile(page, other).boundingBox()];
    if (from === null || to === null) throw new Error('the diary is not drawn');
    await page.mouse.move(from.x + 30, from.y + 5);
    await page.mouse.down();
    await page.mouse.move(to.x + 30, to.y + 5, { steps: 8 });
    await page.mouse.up();
    await page.getByRole('alert').filter({ hasText: 'Lift A is taken' }).waitFor();
    expect(await tile(page, one).innerText()).toContain('09:00–10:00');
    await page.getByRole('button', { name: 'Leave it' }).click();
    expect((await stored(one)).revision).toBe(1);
  });
});

describe('the diary', () => {
  it('counts a hold down until it runs out, and gives its time back', async () => {
    const held = await book('2026-12-22T09:00:00Z', 0, { holdMinutes: 15 });
    const until = Date.parse(held.booking.provisionalUntil ?? '');
    const page = await diaryOf('front-desk', 'date=2026-12-22');
    await page.clock.setSystemTime(until - 5 * 60_000);
    await tile(page, held)
      .filter({ hasText: /Held, [45] min( \d+ s)? left/ })
      .waitFor();
    await expectSound(page);
    await page.clock.setSystemTime(until - 60_000);
    await tile(page, held)
      .filter({ hasText: /Held, \d+ s left/ })
      .waitFor();
    await page.clock.setSystemTime(until);
    await said(page, `The hold of ${held.mark} ran out.`).waitFor({ state: 'attached' });
    const given = page.getByRole('region', { name: 'Given up' });
    await given.getByText('Hold ran out').waitFor();
    await column(page, 'Lift A').getByRole('button', { name: held.mark }).waitFor({ state: 'detached' });
    await expectSound(page);

    // and so says the database, by whose clock it counts
    await asOwner(
      desk.test,
      desk.organisation.organisationId,
      `WITH held AS (UPDATE booking_allocations SET held_until = clock_timestamp() - interval '1 second' WHERE booking_id = $1)
        UPDATE bookings SET provisional_until = clock_timestamp() - interval '1 second' WHERE id = $1`,
      [held.booking.id],
    );
    await page.clock.fastForward(20_000);
    await given.getByText('nobody confirmed it in time').waitFor();
  });

  it('shows what others book, without being asked', async () => {
    const page = await diaryOf('front-desk', 'date=2026-12-23');
    await column(page, 'Lift A').waitFor();
    const one = await book('2026-12-23T09:00:00Z', 0);
    await page.clock.fastForward(20_000);
    await tile(page, one).waitFor();
    await tile(page, one).focus();
    await page.keyboard.press('m');
    await page.keyboard.press('ArrowDown');
    // a move in hand is not torn away by news of others
    const two = await book('2026-12-23T14:00:00Z', 1);
    await page.clock.fastForward(20_000);
    await tile(page, two).waitFor();
    await page
      .getByRole('application', { name: new RegExp(`Moving ${one.mark}`) })
      .getByText('09:15–10:15')
      .waitFor();
    // but what somebody else has changed meanwhile is not changed unseen
    const { id, revision } = one.booking;
    await desk.api.send('PATCH', `/v1/bookings/${id}`, { note: 'keys in the box' }, `"r${revision}"`);
    await page.keyboard.press('Enter');
    await page.getByRole('alert').waitFor();
    expect((await stored(one)).startsAt).toBe('2026-12-23T09:00:00.000Z');
    await page.keyboard.press('Escape');
    expect(await tile(page, one).evaluate((element) => element === document.activeElement)).toBe(true);
  });

  it('shows closures of bays, absences of people, and days on which it is shut', async () => {
    const page = await diaryOf('front-desk', 'date=2026-11-26');
    await column(page, 'Lift B').getByText('lift examination 15:00 to 16:00').waitFor();
    await page.getByText('Absent: Spruce (course, 13:00–17:00)').waitFor();
    await column(page, 'Lift A').getByText('Shut 12:00 to 13:00').waitFor();
    await page.getByRole('button', { name: 'People' }).click();
    await column(page, 'Spruce').getByText('course 13:00 to 17:00').waitFor();
    await expectSound(page);
    await page.goto(`/desk/diary/${workshop.id}?date=2026-11-29`);
    await page.getByText('The workshop is shut.').waitFor();
    await expectSound(page);
  });

  it('prints a full day on one sheet on its side', async () => {
    const hours = ['08', '09', '10', '11', '13', '14', '15', '16'];
    const booked: Booked[] = [];
    for (const hour of hours)
      for (const bay of [0, 1] as const) booked.push(await book(`2026-12-24T${hour}:00:00Z`, bay));
    const page = await diaryOf('front-desk', 'date=2026-12-24');
    for (const each of booked) await tile(page, each).waitFor();
    for (const by of ['Bays', 'People']) {
      await page.getByRole('button', { name: by }).click();
      const paper = (await page.pdf({ preferCSSPageSize: true })).toString('latin1');
      expect(paper.match(/\/Type\s*\/Page\b/g)).toHaveLength(1);
      const [, width, height] = /MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/.exec(paper) ?? [];
      // A4, ISO 216: 297 by 210 mm, in points of 1/72 inch
      expect([Number(width), Number(height)].map((points) => Math.round((points / 72) * 25.4))).toEqual([
        297, 210,
      ]);
    }
    await page.emulateMedia({ media: 'print' });
    for (const each of booked) expect(await tile(page, each).isVisible()).toBe(true);
    expect(await page.getByRole('button', { name: 'Print' }).count()).toBe(0);
  });
});

describe('an open booking', () => {
  it('says what it is and is taken through the workshop', async () => {
    const one = await book('2026-11-25T13:00:00Z', 0);
    const page = await diaryOf('front-desk', 'date=2026-11-25');
    await tile(page, one).click();
    const dialog = page.getByRole('dialog', { name: `Booking of ${one.mark}` });
    await dialog.getByText('Look for a leak at the height corrector, 1 h').waitFor();
    await dialog.getByText('the duty manager, extension 12').waitFor();
    await expectSound(page);
    await dialog.getByRole('button', { name: 'Vehicle has arrived' }).click();
    // the work opens pressurised circuits
    await dialog.getByText(/Release the pressure/).waitFor();
    await expectSound(page);
    await dialog.getByRole('button', { name: 'Start work' }).click();
    await dialog.getByText('The work ends when its job sheet is completed.').waitFor();
    await dialog.getByRole('button', { name: 'Close' }).click();
    await tile(page, one).filter({ hasText: 'In work' }).waitFor();
    expect((await stored(one)).state).toBe('in-work');
    // its start stays now
    await tile(page, one).focus();
    await page.keyboard.press('m');
    await page.getByText('The vehicle is here: its start stays.').waitFor();
  });

  it('is cancelled with a reason only', async () => {
    const one = await book('2026-12-28T09:00:00Z', 0);
    const page = await diaryOf('front-desk', `date=2026-12-28&booking=${one.booking.id}`);
    const dialog = page.getByRole('dialog', { name: `Booking of ${one.mark}` });
    await dialog.getByRole('button', { name: 'Cancel booking' }).click();
    await dialog.getByRole('button', { name: 'Cancel booking' }).click();
    await dialog.getByText('Say in a few words why it is cancelled.').waitFor();
    await expectSound(page);
    await dialog
      .getByRole('textbox', { name: 'Reason of the cancellation' })
      .fill('caller found another day');
    await dialog.getByRole('button', { name: 'Cancel booking' }).click();
    await dialog.getByText(/: caller found another day/).waitFor();
    await page.keyboard.press('Escape');
    await page.getByRole('region', { name: 'Given up' }).getByText('caller found another day').waitFor();
    expect((await stored(one)).state).toBe('cancelled');
  });

  it('is seen by a technician, who does not move it', async () => {
    const one = await book('2026-12-29T09:00:00Z', 0);
    const page = await diaryOf('technician', 'date=2026-12-29');
    await tile(page, one).focus();
    await page.keyboard.press('m');
    const box = await tile(page, one).boundingBox();
    if (box === null) throw new Error('the diary is not drawn');
    await page.mouse.move(box.x + 30, box.y + 5);
    await page.mouse.down();
    await page.mouse.move(box.x + 30, box.y + 200, { steps: 4 });
    await page.mouse.up();
    expect(await page.getByRole('application').count()).toBe(0);
    expect((await stored(one)).revision).toBe(1);
    await tile(page, one).focus();
    await page.keyboard.press('Enter');
    const dialog = page.getByRole('dialog', { name: `Booking of ${one.mark}` });
    await dialog.getByRole('button', { name: 'Vehicle has arrived' }).waitFor();
    for (const name of ['Move', 'Cancel booking', 'Confirm'])
      expect(await dialog.getByRole('button', { name }).count()).toBe(0);
    await expectSound(page);
  });
});

describe('on a narrow screen', () => {
  it.each(['light', 'dark'] as const)('is a list by time, and moves by buttons (%s)', async (colorScheme) => {
    const day = colorScheme === 'light' ? '2026-12-30' : '2026-12-31';
    const [one, other] = [await book(`${day}T09:00:00Z`, 0), await book(`${day}T08:00:00Z`, 1)];
    const page = await diaryOf('front-desk', `date=${day}`, { width: 320, height: 800, colorScheme });
    await tile(page, one).waitFor();
    const times = await page
      .getByRole('listitem')
      .filter({ has: page.getByRole('button') })
      .allInnerTexts();
    expect(times.map((text) => text.slice(0, 5))).toEqual(['08:00', '09:00']);
    await expectSound(page);
    await page.getByRole('combobox', { name: 'Bay' }).selectOption({ label: 'Lift A' });
    await tile(page, other).waitFor({ state: 'detached' });
    await tile(page, one).click();
    await page.getByRole('dialog').getByRole('button', { name: 'Move' }).click();
    await page.getByRole('button', { name: '15 min later' }).click();
    await expectSound(page);
    await page.getByRole('button', { name: 'Keep' }).click();
    await tile(page, one).filter({ hasText: '09:15–10:15' }).waitFor();
    expect((await stored(one)).startsAt).toBe(`${day}T09:15:00.000Z`);
    await page.getByRole('button', { name: 'Week' }).click();
    await page.getByRole('region', { name: /30 Dec 2026/ }).waitFor();
    await expectSound(page);
  });

  it('is good to read in the dark, by day and by week', async () => {
    const page = await diaryOf('front-desk', 'date=2026-11-26', { colorScheme: 'dark' });
    await column(page, 'Lift B').waitFor();
    await expectSound(page);
    await page.getByRole('button', { name: 'Week' }).click();
    await page.getByRole('table').waitFor();
    await expectSound(page);
  });
});
