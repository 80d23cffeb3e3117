import type { Locator, Page } from 'playwright-core';
import type { BookingDto } from '../../src/modules/bookings/dto/booking.dto';
import type { FreeTimesDto } from '../../src/modules/bookings/dto/free-times.dto';
import type { VehicleDueItemsDto } from '../../src/modules/due-items/dto/due-item.dto';
import type { GasUnitDto } from '../../src/modules/gas-units/dto/gas-unit.dto';
import type { JobSheetDto } from '../../src/modules/job-sheets/dto/job-sheet.dto';
import type { VehicleDto } from '../../src/modules/vehicles/dto/vehicle.dto';
import { NORMALISED } from '../reference/nitrogen-tables';
import { TEST_NOW } from '../support/test-app';
import { accessibilityFaults, Desk, faultsOf, sidewaysOverflow } from './desk';

const HOUR = 3_600_000;
/** within which there is a free time for the work */
const DAYS_AHEAD = 14;
const POSITION = 'suspension-front-left';
const TASKS = ['low-pressure-warning-test', 'regulator-cycle-test'];

let desk: Desk;
let vehicle: VehicleDto;
let page: Page;
/** what the API got to see of a kind of request */
const answeredTo = { PATCH: 0, completion: 0 };

beforeAll(async () => {
  desk = await Desk.open();
  vehicle = await aVehicle();
  page = await desk.signedIn('technician', { width: 820, height: 1_180 });
  page.on('response', (response) => {
    if (response.request().method() === 'PATCH') answeredTo.PATCH++;
    if (response.url().endsWith('/completion')) answeredTo.completion++;
  });
}, 240_000);
afterAll(() => desk.close());

/** One that nothing holds, with a gas unit at the front left. */
async function aVehicle(): Promise<VehicleDto> {
  await dueItemsAreThere();
  const found = { held: 0, other: 0, full: 0 };
  for (const each of await desk.api.getAll<VehicleDto>('/v1/vehicles?limit=500')) {
    const { onHold } = await desk.api.get<{ onHold: boolean }>(`/v1/vehicles/${each.id}/hold`);
    if (onHold) found.held++;
    else if ((await dueKeys(each.id)).length < 1 + TASKS.length) found.other++;
    else if ((await freeTime(each.id, TEST_NOW)) === null) found.full++;
    else return each;
  }
  throw new Error(`the fleet has no vehicle for this day: ${JSON.stringify(found)}`);
}

/** The programme was published, and what follows from it is worked out in the background. */
async function dueItemsAreThere(): Promise<void> {
  const [first] = await desk.api.getAll<VehicleDto>('/v1/vehicles?limit=500');
  while (first !== undefined && (await dueKeys(first.id)).length === 0)
    await new Promise((resolve) => setTimeout(resolve, 500));
}

async function dueKeys(vehicleId: string): Promise<string[]> {
  const { items } = await desk.api.get<VehicleDueItemsDto>(`/v1/vehicles/${vehicleId}/due-items`);
  return items
    .filter(
      ({ task, position }) => TASKS.includes(task) || (task === 'precharge-test' && position === POSITION),
    )
    .map(({ key }) => key);
}

async function freeTime(vehicleId: string, fromAt: number) {
  const { freeTimes } = await desk.api.send<FreeTimesDto>('POST', '/v1/free-times', {
    vehicleId,
    dueItemKeys: await dueKeys(vehicleId),
    extraWork: [],
    workshopIds: desk.workshops.map(({ workshop }) => workshop.id),
    fromAt: new Date(fromAt).toISOString(),
    untilAt: new Date(fromAt + DAYS_AHEAD * 24 * HOUR).toISOString(),
    count: 1,
  });
  return freeTimes[0] ?? null;
}

async function book(fromAt: number): Promise<string> {
  const slot = await freeTime(vehicle.id, fromAt);
  if (slot === null) throw new Error('nothing is free');
  const { workshopId, startsAt, bayId, technicians } = slot;
  const { id } = await desk.api.send<BookingDto>('POST', '/v1/bookings', {
    vehicleId: vehicle.id,
    dueItemKeys: await dueKeys(vehicle.id),
    extraWork: [],
    workshopId,
    startsAt,
    bayId,
    technicianIds: technicians.map((each) => each.id),
  });
  return id;
}

/** Opens the sheet of the vehicle's next job of the day, as a technician does. */
async function startWork(bookingId: string): Promise<void> {
  const { workshopId, startsAt } = await desk.api.get<BookingDto>(`/v1/bookings/${bookingId}`);
  await page.goto('/desk/job-sheets');
  await page.getByLabel('Workshop').selectOption(workshopId);
  // the vehicle comes early
  await page.getByLabel('Day').fill(startsAt.slice(0, 10));
  await page.getByRole('button', { name: `It has arrived: ${vehicle.registrationMark}` }).click();
  await page.getByRole('button', { name: `Start work: ${vehicle.registrationMark}` }).click();
  await page.getByRole('heading', { name: `Job sheet ${vehicle.registrationMark}` }).waitFor();
}

const step = (name: RegExp) => page.getByRole('region', { name });
const precharge = () => step(/precharge/i);
const warning = () => step(/low-pressure warning/i);
const cycle = () => step(/charging cycle/i);
const state = (text: string) => page.getByText(text, { exact: false }).first();

async function sheetNow(): Promise<JobSheetDto> {
  const id = new URL(page.url()).pathname.split('/').at(-1) ?? '';
  return desk.api.get<JobSheetDto>(`/v1/job-sheets/${id}`);
}

/** Says of every other step that it was not done, whatever this layout asks for beside. */
async function leaveTheRest(entered: readonly RegExp[]): Promise<void> {
  for (const { title } of (await sheetNow()).steps) {
    if (entered.some((each) => each.test(title))) continue;
    const left = page.getByRole('region', { name: title });
    await left.getByLabel('Not done', { exact: true }).check();
    await left.getByLabel('Why it was not done').fill('no time today');
  }
}

async function signOff(): Promise<void> {
  const signer = page.getByLabel('Signed off by');
  const able = signer.getByRole('option').filter({ hasNotText: /lacks|choose/ });
  await signer.selectOption({ label: (await able.first().textContent()) ?? '' });
  await page.getByRole('button', { name: 'Complete the job' }).click();
}

describe('a day in the workshop', () => {
  test('work begins with its cautions, and what is missing is named where it is missing', async () => {
    const bookingId = await book(TEST_NOW);
    await startWork(bookingId);
    desk.test.setNow(TEST_NOW + HOUR);
    await page.getByText('Before you begin').waitFor();
    expect(await accessibilityFaults(page)).toEqual([]);

    await page.getByRole('button', { name: 'Cautions' }).click();
    await page.getByRole('dialog').getByText('surgical emergency').waitFor();
    expect(await accessibilityFaults(page)).toEqual([]);
    await page.keyboard.press('Escape');

    await signOff();
    const odometer = page.getByLabel('Odometer', { exact: true });
    await page.locator('[aria-invalid=true]').first().waitFor();
    expect(await odometer.getAttribute('aria-invalid')).toBe('true');
    expect(await odometer.evaluate((field) => field === document.activeElement)).toBe(true);
    expect(await precharge().getByLabel('Pressure as read').getAttribute('aria-invalid')).toBe('true');
    expect(await accessibilityFaults(page)).toEqual([]);
    await page.setViewportSize({ width: 320, height: 800 });
    expect(await sidewaysOverflow(page)).toBe(0);
    await page.setViewportSize({ width: 820, height: 1_180 });
  });

  test('a reading is converted and judged as it is typed', async () => {
    await precharge().getByLabel('Pressure as read').fill('20');
    await precharge().getByLabel('Temperature of the gas').fill('20');
    await precharge().getByText('Failed').waitFor();
    await precharge().getByText('20.0 bar at 20 °C').waitFor();
    await warning().getByLabel('Warning came on at').fill('55');
    await warning().getByText('below the limit of').waitFor();
    await page.getByText('By these entries the vehicle would be held').waitFor();
    await state('Everything is stored').waitFor();
    expect(await precharge().getByText('Failed').isVisible()).toBe(true);
  });

  test('the stopwatch survives a reload and fills its fields, by button and by space bar', async () => {
    await cycle().getByRole('button', { name: 'Pump cuts in: start' }).click();
    await page.clock.fastForward(4_200);
    await page.reload();
    await cycle().getByText('The pump charges').waitFor();
    await page.keyboard.press('Space');
    await cycle().getByText('The pump idles').waitFor();
    await page.clock.fastForward(36_000);
    await page.keyboard.press('Space');
    await cycle().getByRole('button', { name: 'Stop' }).click();
    const seconds = async (label: RegExp): Promise<number> =>
      Number(await cycle().getByLabel(label).inputValue());
    expect(await seconds(/^Charge time/)).toBeGreaterThanOrEqual(4.2);
    expect(await seconds(/^Idle time/)).toBeGreaterThanOrEqual(36);
    await cycle().getByText('Passed').waitFor();
  });

  test('without a connection entries and the sign-off stay on the device, and are sent once', async () => {
    await state('Everything is stored').waitFor();
    await page.waitForFunction(async () => (await (await caches.open('precharge-desk')).keys()).length > 4);
    const context = page.context();
    await leaveTheRest([/odometer/i, /precharge/i, /low-pressure/i, /charging cycle/i]);
    await state('Everything is stored').waitFor();
    await context.setOffline(true);
    const odometer = page.getByLabel('Odometer', { exact: true });
    await odometer.fill('61240');
    await state('Kept on this device, not sent yet').waitFor();
    expect(await accessibilityFaults(page)).toEqual([]);
    await page.reload();
    await state('Kept on this device, not sent yet').waitFor();
    expect(await odometer.inputValue()).toBe('61240');

    await signOff();
    await state('Signed off and kept on this device, not sent yet').waitFor();
    await page.reload();
    await state('Signed off and kept on this device, not sent yet').waitFor();
    expect(await accessibilityFaults(page)).toEqual([]);
    // who leaves now is told
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.getByRole('button', { name: 'Stay signed in' }).click();

    answeredTo.completion = 0;
    await context.setOffline(false);
    await page.getByRole('heading', { name: 'Held: do not release to the road' }).waitFor();
    expect(answeredTo.completion).toBe(1);
    const sheet = await sheetNow();
    expect(sheet.entries.find(({ key }) => key === 'odometer-reading')?.odometer).toBe(61_240);
    expect(sheet.decision).toBe('held');
    expect(
      await page.evaluate(() => Object.keys(localStorage).filter((key) => key.includes('job-sheet'))),
    ).toEqual([]);
  });

  test('the decision is there for whoever opens the sheet later, in the dark and on paper', async () => {
    await page.reload();
    const decision = page.getByRole('heading', { name: 'Held: do not release to the road' });
    await decision.waitFor();
    await page.getByText('Failed: Test the low-pressure warning', { exact: false }).first().waitFor();
    await page.emulateMedia({ colorScheme: 'dark' });
    expect(await accessibilityFaults(page)).toEqual([]);
    await page.emulateMedia({ colorScheme: 'light', media: 'print' });
    expect(await page.getByRole('button', { name: 'Cautions' }).isVisible()).toBe(false);
    expect(await decision.isVisible()).toBe(true);
    await page.emulateMedia({ media: 'screen' });
    const paper = await page.request.get(
      (await page.getByRole('link', { name: 'Paper sheet to write on' }).getAttribute('href')) ?? '',
    );
    expect(await paper.text()).toContain(vehicle.registrationMark);
  });

  test('after an exchange of the unit and a good test it is released', async () => {
    const { items } = await desk.api.get<{ items: GasUnitDto[] }>(
      `/v1/gas-units?vehicleId=${vehicle.id}&limit=20`,
    );
    const fitted = items.find(({ place }) => place?.position === POSITION);
    await desk.api.send('POST', '/v1/gas-units', {
      fleetId: vehicle.fleetId,
      unitTypeId: fitted?.unitTypeId,
      serialNumber: 'SPARE-77',
      madeOn: '2026-06-01',
      movedBy: 'T07',
      place: { state: 'on-the-shelf', depotId: vehicle.depotId, fromAt: '2026-11-01T09:00:00Z' },
    });
    await startWork(await book(TEST_NOW + 2 * HOUR));
    desk.test.setNow(TEST_NOW + 3 * HOUR);
    await page.getByLabel('Odometer', { exact: true }).fill('61245');
    await precharge().getByLabel('Pressure as read').fill('20');
    await precharge().getByLabel('Temperature of the gas').fill('20');
    await precharge().getByRole('button', { name: 'Exchange the unit' }).click();
    await precharge().getByLabel('Serial number of the unit that is fitted now').fill('SPARE');
    await precharge()
      .getByRole('button', { name: /SPARE-77/ })
      .click();
    await precharge().getByText('What this unit would owe here').waitFor();
    expect(await accessibilityFaults(page)).toEqual([]);
    // an exchange opens the circuit, and asks for the checks before release
    const reserve = step(/brake reserve/i);
    await reserve.getByLabel(/Full application/).fill('12');
    await reserve.getByLabel(/Pressure at the start/).fill('140');
    await warning().getByLabel('Warning came on at').fill('90');
    await warning().getByText('Passed').waitFor();
    await cycle()
      .getByLabel(/^Charge time/)
      .fill('4');
    await cycle()
      .getByLabel(/^Idle time/)
      .fill('60');
    await state('Everything is stored').waitFor();
    await leaveTheRest([/odometer/i, /precharge/i, /low-pressure/i, /charging cycle/i, /brake reserve/i]);
    await state('Everything is stored').waitFor();
    await signOff();
    await page.getByRole('heading', { name: 'Released' }).waitFor();
    expect(await accessibilityFaults(page)).toEqual([]);
    expect(faultsOf(page)).toEqual([]);
  });
});

/** The sheet of a job that is in work. */
async function sheetInWork(fromAt: number): Promise<JobSheetDto> {
  const booking = await book(fromAt);
  const revisionOf = async () => (await desk.api.get<BookingDto>(`/v1/bookings/${booking}`)).revision;
  for (const move of ['arrival', 'work-start'])
    await desk.api.send('POST', `/v1/bookings/${booking}/${move}`, {}, `"r${await revisionOf()}"`);
  return desk.api.send<JobSheetDto>('POST', `/v1/bookings/${booking}/job-sheet`, {});
}

test("somebody else's change is put beside one's own", async () => {
  const other = await desk.signedIn('technician', { width: 820, height: 1_180 });
  const sheet = await sheetInWork(TEST_NOW + 3.5 * HOUR);
  await other.goto(`/desk/job-sheets/${sheet.id}`);
  const odometer = other.getByLabel('Odometer', { exact: true });
  await odometer.waitFor();
  await desk.api.send(
    'PATCH',
    `/v1/job-sheets/${sheet.id}`,
    { entries: [{ key: 'odometer-reading', odometer: 61_300, note: 'read twice' }] },
    `"r${sheet.revision}"`,
  );
  await odometer.fill('61250');
  await other.getByText('Somebody else filled “Odometer” meanwhile').waitFor();
  expect(await accessibilityFaults(other)).toEqual([]);
  await other.getByRole('button', { name: 'Take theirs' }).click();
  expect(await odometer.inputValue()).toBe('61300');
  await other.getByText('Everything is stored').waitFor();
  expect(faultsOf(other)).toEqual([]);
});

test('a job is done and signed off with the keyboard alone', async () => {
  const other = await desk.signedIn('technician', { width: 820, height: 1_180 });
  const sheet = await sheetInWork(TEST_NOW + 6 * HOUR);
  await other.goto(`/desk/job-sheets/${sheet.id}`);
  await other.getByLabel('Odometer', { exact: true }).waitFor();
  const tabTo = async (target: Locator): Promise<void> => {
    for (let tabs = 0; tabs < 200; tabs++) {
      if (await target.evaluate((element) => element === document.activeElement)) return;
      await other.keyboard.press('Tab');
    }
    throw new Error('nobody gets there with the tab key');
  };
  const type = async (target: Locator, text: string): Promise<void> => {
    await tabTo(target);
    await other.keyboard.type(text);
  };
  for (const { title, kind } of sheet.steps) {
    const card = other.getByRole('region', { name: title });
    if (kind === 'odometer-reading') {
      await type(card.getByLabel('Odometer', { exact: true }), '61350');
    } else if (kind === 'precharge-test') {
      await type(card.getByLabel('Pressure as read'), '54');
      await type(card.getByLabel('Temperature of the gas'), '20');
      await card.getByText('54.0 bar at 20 °C').waitFor();
    } else {
      await tabTo(card.getByLabel('Not done', { exact: true }));
      await other.keyboard.press('Space');
      await type(card.getByLabel('Why it was not done'), 'no time today');
    }
  }
  const signer = other.getByLabel('Signed off by');
  const able = signer.getByRole('option').filter({ hasNotText: /lacks|choose/ });
  await type(signer, (await able.first().textContent()) ?? '');
  await tabTo(other.getByRole('button', { name: 'Complete the job' }));
  await other.keyboard.press('Enter');
  // the clock of the service stands before the work began: nothing of the sheet is wrong, so the reason is read out
  const refusal = other.getByRole('alert').filter({ hasText: 'it cannot have ended before' });
  await refusal.waitFor();
  expect(await refusal.evaluate((notice) => notice.parentElement === document.activeElement)).toBe(true);
  desk.test.setNow(TEST_NOW + 7 * HOUR);
  await tabTo(other.getByRole('button', { name: 'Complete the job' }));
  await other.keyboard.press('Enter');
  await other.getByRole('heading', { name: /^(Held|Released)/ }).waitFor();
  const signed = await desk.api.get<JobSheetDto>(`/v1/job-sheets/${sheet.id}`);
  expect(signed.entries.find(({ key }) => key === 'odometer-reading')?.odometer).toBe(61_350);
  expect(faultsOf(other)).toEqual([]);
});

describe('calculators', () => {
  test('work in the page what the reference and the API say', async () => {
    const desktop = await desk.signedIn('technician', { width: 320, height: 800, colorScheme: 'dark' });
    // reference equation, evaluated outside: see test/reference/nitrogen-tables.ts
    for (const [gasTemperatureC, pressureBarGauge, , real] of NORMALISED.filter(
      (_, index) => index % 15 === 0,
    )) {
      const inputs = { pressureBarGauge, gasTemperatureC };
      const address = new URLSearchParams({
        pressureBarGauge: String(pressureBarGauge),
        gasTemperatureC: String(gasTemperatureC),
      });
      await desktop.goto(`/desk/calculators/precharge?${address.toString()}`);
      const shown = `${Number(real).toFixed(1)} bar`;
      await desktop.getByRole('status').getByText(shown, { exact: true }).waitFor();
      const { result } = await desk.api.send<{ result: { precharge20BarGauge: number } }>(
        'POST',
        '/v1/calculations/normalised-precharge',
        inputs,
      );
      expect(`${result.precharge20BarGauge.toFixed(1)} bar`).toBe(shown);
    }
    expect(await accessibilityFaults(desktop)).toEqual([]);
    expect(await sidewaysOverflow(desktop)).toBe(0);

    await desktop.getByLabel('Temperature of the gas').fill('95');
    await desktop.getByRole('alert').getByText('outside -40 to 80 °C').waitFor();
    expect(new URL(desktop.url()).searchParams.get('gasTemperatureC')).toBe('95');
    expect(await accessibilityFaults(desktop)).toEqual([]);

    for (const name of ['Delivered volume', 'Stopwatch test', 'Stored applications', 'Ride effect']) {
      await desktop.getByRole('link', { name }).click();
      await desktop.getByText('Still needed').waitFor();
      expect(await accessibilityFaults(desktop)).toEqual([]);
      expect(await sidewaysOverflow(desktop)).toBe(0);
    }
    await desktop.goto('/desk/calculators/hydraulic-layout?pumpKind=split&antiSinkValves=not-fitted');
    await desktop.getByRole('alert').first().waitFor();
    expect(await accessibilityFaults(desktop)).toEqual([]);
    expect(await sidewaysOverflow(desktop)).toBe(0);
    expect(faultsOf(desktop)).toEqual([]);
  });
});
