import type { Page } from 'playwright-core';
import type { FleetOdometerReadingDto } from '../../src/modules/odometer-readings/dto/odometer-reading.dto';
import type { UsageDto } from '../../src/modules/due-items/dto/usage.dto';
import type { VehicleDto } from '../../src/modules/vehicles/dto/vehicle.dto';
import { accessibilityFaults, Desk, faultsOf, sidewaysOverflow } from './desk';

let desk: Desk;
beforeAll(async () => {
  desk = await Desk.open();
}, 300_000);
afterAll(() => desk.close());

const PARTS = ['', 'layout', 'due', 'distance', 'history', 'days', 'holds', 'record'];

const read = <Answer>(path: string): Promise<Answer> => desk.api.get<Answer>(path);
async function vehicleWith(search: string): Promise<VehicleDto> {
  const { items } = await read<{ items: VehicleDto[] }>(`/v1/vehicles?search=${encodeURIComponent(search)}`);
  const [vehicle] = items;
  if (vehicle === undefined) throw new Error(`no vehicle ${search}`);
  return vehicle;
}
async function quarantined(): Promise<FleetOdometerReadingDto> {
  const { items } = await read<{ items: FleetOdometerReadingDto[] }>(
    '/v1/odometer-readings?state=quarantined&meter=odometer',
  );
  const found = items.find(({ suggestedValue }) => suggestedValue !== null);
  if (found === undefined) throw new Error('the demo has a reading with a suggestion that waits');
  return found;
}
/** Everything of the page has been read. */
async function drawn(page: Page): Promise<void> {
  await page.getByRole('heading', { level: 2 }).first().waitFor();
  await page.waitForLoadState('networkidle');
}
const drawingOf = (page: Page, mark: string) =>
  page.getByRole('group', { name: `How the fluid system of ${mark} is connected` });

it('finds a vehicle by part of its mark, shows its fluid system and leads to its units', async () => {
  const page = await desk.signedIn('technician');
  await page.goto('/desk/vehicles');
  await page.getByLabel('Find').fill('tvp101');
  await page.getByRole('link', { name: 'TVP 102' }).waitFor({ state: 'detached' });
  await page.getByRole('link', { name: 'TVP 101' }).click();
  await page.getByRole('heading', { level: 1, name: 'TVP 101' }).waitFor();

  const units = drawingOf(page, 'TVP 101').getByRole('link');
  await units.first().waitFor();
  expect(await units.count()).toBe(6);
  await drawingOf(page, 'TVP 101')
    .getByRole('link', { name: /sound|due|weak|below limit/ })
    .first()
    .waitFor();
  await page.getByText('The same in words').click();
  const words = await page.getByRole('list', { name: 'Parts of the fluid system of TVP 101' }).innerText();
  expect(words).toMatch(/Pump: split, two outlets\. Leads to: pressure regulator; steering/);
  expect(words).toMatch(/Rear brakes: fed through their accumulator/);

  const unit = drawingOf(page, 'TVP 101').getByRole('link', { name: /^Main accumulator/ });
  await unit.focus();
  await page.keyboard.press('Enter');
  await page.getByRole('heading', { level: 1, name: /^Gas unit M/ }).waitFor();
  await page.getByRole('table', { name: /^Tests and charges/ }).waitFor();
  await page.getByText('never with oxygen or air').first().waitFor();
  await page.getByRole('img', { name: /^Trend of the precharge/ }).waitFor();
  expect(faultsOf(page)).toEqual([]);
});

it('lists only what is on hold, or overdue, as the address says', async () => {
  const page = await desk.signedIn('front-desk');
  await page.goto('/desk/vehicles');
  await page.getByRole('link', { name: 'TVP 101' }).waitFor();
  await page.getByLabel('On hold').check();
  await page.getByRole('link', { name: 'TVP 101' }).waitFor({ state: 'detached' });
  const held = await page.getByRole('row').filter({ hasText: 'On hold' }).count();
  expect(held).toBeGreaterThan(0);
  expect(await page.getByRole('row').filter({ hasText: 'Not on hold' }).count()).toBe(0);
  expect(new URL(page.url()).searchParams.get('onHold')).toBe('true');
});

it('records what was seen, draws it, and refuses what cannot be', async () => {
  const neighbour = await vehicleWith('TVP 101');
  const { id } = await desk.api.send<VehicleDto>('POST', '/v1/vehicles', {
    depotId: neighbour.depotId,
    registrationMark: 'TVP 199',
    odometerUnit: 'km',
    dutyClass: 'standard',
  });
  const page = await desk.signedIn('technician');
  await page.goto(`/desk/vehicles/${id}`);
  await page.getByText("Nobody has recorded this vehicle's fluid system yet").waitFor();
  await page.getByRole('link', { name: 'Look at the vehicle and record what you see' }).click();

  await page.getByLabel('Pump', { exact: true }).selectOption('single outlet');
  await page.getByLabel('Steering supply', { exact: true }).selectOption('draws on the pressure supply');
  expect(await page.getByLabel('Seen: Pump').isChecked()).toBe(true);
  await page.getByLabel('How', { exact: true }).fill('cover off, one outlet counted');
  await page.getByRole('button', { name: 'Record what was seen' }).click();
  await page.getByText('Pump: Martin').waitFor();

  await page.getByRole('link', { name: 'Fluid system' }).click();
  await page.getByText('The same in words').click();
  const words = page.getByRole('list', { name: 'Parts of the fluid system of TVP 199' });
  expect(await words.innerText()).toMatch(/Pump: single outlet\. Leads to/);
  expect(await words.innerText()).toMatch(/Anti-sink valve, rear: not verified/);

  // fact 6 of the trade: a split pump means that anti-sink valves are fitted
  await page.getByRole('link', { name: 'What was seen' }).click();
  await page.getByLabel('Pump', { exact: true }).selectOption('split, two outlets');
  await page.getByLabel('Steering supply', { exact: true }).selectOption('not verified');
  await page.getByLabel('Anti-sink valves', { exact: true }).selectOption('not fitted');
  await page.getByLabel('How', { exact: true }).fill('looked again');
  await page.getByRole('button', { name: 'Record what was seen' }).click();
  await page.getByText('Not recorded: these facts contradict each other').waitFor();
  expect(await page.getByLabel('Anti-sink valves', { exact: true }).getAttribute('aria-invalid')).toBe(
    'true',
  );
  expect(await page.getByLabel('How', { exact: true }).inputValue()).toBe('looked again');
  expect(await accessibilityFaults(page)).toEqual([]);

  await page.getByLabel('Anti-sink valves', { exact: true }).selectOption('not verified');
  await page.getByRole('button', { name: 'Record what was seen' }).click();
  await page.getByText(/^Pump: Martin.*: looked again$/).waitFor();
  await page.getByRole('link', { name: 'Fluid system' }).click();
  await page.getByText('The same in words').click();
  expect(await words.innerText()).toMatch(/Anti-sink valve, rear: follows, not seen/);
  expect(faultsOf(page)).toEqual([]);
});

it('lets a technician see what waits for a decision, and the front desk decide', async () => {
  const reading = await quarantined();
  const technician = await desk.signedIn('technician');
  await technician.goto(`/desk/vehicles/${reading.vehicleId}/distance`);
  await technician.getByText('It counts for nothing until').first().waitFor();
  expect(await technician.getByRole('button', { name: 'Decide' }).count()).toBe(0);
  expect(await technician.getByRole('link', { name: 'Who did what' }).count()).toBe(0);

  const page = await desk.signedIn('front-desk');
  await page.goto(`/desk/vehicles/${reading.vehicleId}/distance`);
  const waiting = page.getByRole('button', { name: 'Decide' });
  await waiting.first().waitFor();
  const before = await waiting.count();
  await page.getByLabel('Why').first().fill('two digits were swapped on the sheet');
  await waiting.first().click();
  await waiting.nth(before - 1).waitFor({ state: 'detached' });
  const decided = await read<FleetOdometerReadingDto>(`/v1/odometer-readings/${reading.id}`);
  expect(decided.state).not.toBe('quarantined');
  expect(faultsOf(page)).toEqual([]);
});

it('holds a vehicle, and lets a fleet planner lift the hold', async () => {
  const { id } = await vehicleWith('TVP 102');
  const technician = await desk.signedIn('technician');
  await technician.goto(`/desk/vehicles/${id}/holds`);
  await technician.getByLabel('Why it is not to be released').fill('a pipe weeps at the rear axle');
  await technician.getByRole('button', { name: 'Hold the vehicle' }).click();
  await technician.getByText('On hold: do not release it to the road').waitFor();
  expect(await technician.getByRole('button', { name: 'Lift the hold' }).count()).toBe(0);

  const planner = await desk.signedIn('fleet-planner');
  await planner.goto(`/desk/vehicles/${id}/holds`);
  await planner.getByRole('button', { name: 'Lift the hold' }).click();
  await planner.getByLabel('What was done, or why it is no longer needed').fill('pipe replaced');
  expect(await accessibilityFaults(planner)).toEqual([]);
  await planner.getByRole('button', { name: 'Lift it' }).click();
  await planner.getByText('Nobody has placed a hold.').waitFor();
});

it('tells what a reading comes to at 20 °C while it is typed, and records a test', async () => {
  const page = await desk.signedIn('technician');
  const { id } = await vehicleWith('TVP 103');
  await page.goto(`/desk/vehicles/${id}`);
  await drawingOf(page, 'TVP 103')
    .getByRole('link', { name: /^Main accumulator/ })
    .click();
  await page.getByText('Record a precharge test or a charge').click();
  await page.getByLabel('The gauge shows').fill('60');
  await page.getByLabel('Temperature of the gas').fill('20');
  // at 20 °C a reading is what it is
  await page.getByText('60.0 bar at 20 °C', { exact: true }).waitFor();
  await page.getByRole('button', { name: 'Record the test' }).click();
  await page.getByText(/^Recorded: 60\.0 bar at 20 °C/).waitFor();
  expect(await page.getByLabel('The gauge shows').inputValue()).toBe('');
  expect(faultsOf(page)).toEqual([]);
});

it('takes back what was recorded by mistake, and tells where a unit went', async () => {
  const page = await desk.signedIn('front-desk');
  const { id } = await vehicleWith('TVP 104');
  await page.goto(`/desk/vehicles/${id}`);
  await drawingOf(page, 'TVP 104')
    .getByRole('link', { name: /^Main accumulator/ })
    .click();
  await page.getByText('Record a precharge test or a charge').click();
  await page.getByLabel('The gauge shows').fill('6');
  await page.getByLabel('Temperature of the gas').fill('20');
  await page.getByRole('button', { name: 'Record the test' }).click();
  await page.getByText(/^Recorded: 6\.0 bar at 20 °C/).waitFor();
  await page
    .getByRole('row', { name: /6\.0 bar at 20\.0 °C/ })
    .getByRole('button', { name: /^Take back the precharge test of/ })
    .click();
  expect(await accessibilityFaults(page)).toEqual([]);
  await page.getByLabel('What was wrong').fill('a digit was left out');
  await page.getByRole('button', { name: 'Take it back' }).click();
  await page.getByText('Taken back: a digit was left out').waitFor();

  await page.getByText('Move the unit').click();
  await page.getByLabel('Shelf of').selectOption({ label: 'Tarnholme' });
  expect(await accessibilityFaults(page)).toEqual([]);
  await page.getByRole('button', { name: 'Record the move' }).click();
  await page.getByRole('cell', { name: 'On the shelf, Tarnholme' }).waitFor();
  await page.getByRole('button', { name: /^Take back the move of/ }).click();
  await page.getByRole('button', { name: 'Take it back' }).click();
  await page.getByText(/^Fitted to/).waitFor();

  await page.getByLabel('It went').selectOption('fitted');
  await page.getByLabel('Registration mark').fill('tvp 105');
  await page.getByLabel('Position').selectOption({ label: 'Main accumulator' });
  await page.getByRole('button', { name: 'Record the move' }).click();
  // another one sits there, and nobody has said where that one goes
  await page.getByRole('alert').waitFor();
  await page.getByLabel('A unit that sits there').selectOption({ label: 'went away for recharge' });
  await page.getByRole('button', { name: 'Record the move' }).click();
  await page
    .getByText(/^Fitted to/)
    .getByRole('link', { name: 'TVP 105' })
    .waitFor();
  expect(faultsOf(page)).toEqual([]);
});

it('takes back work, and records another instrument and another duty', async () => {
  const page = await desk.signedIn('front-desk');
  const { id } = await vehicleWith('TVP 106');
  await page.goto(`/desk/vehicles/${id}/history`);
  await page
    .getByRole('table', { name: /^Work done/ })
    .getByRole('button', { name: /^Take back/ })
    .first()
    .click();
  await page.getByLabel('What was wrong').fill('it was another vehicle');
  await page.getByRole('button', { name: 'Take it back' }).click();
  await page.getByText('Taken back').waitFor();

  const { lastReading } = await read<UsageDto>(`/v1/vehicles/${id}/usage`);
  await page.getByRole('link', { name: 'Distance' }).click();
  await page.getByText('The instrument was replaced').click();
  await page.getByLabel('The old one counted in').selectOption('km');
  await page.getByLabel('The old one showed at the end').fill('nothing');
  await page.getByRole('button', { name: 'Record the replacement' }).click();
  await page.getByText('This is no number. Type what it showed.').waitFor();
  await page.getByLabel('The old one showed at the end').fill(String(lastReading?.total ?? 0));
  expect(await accessibilityFaults(page)).toEqual([]);
  await page.getByRole('button', { name: 'Record the replacement' }).click();
  await page.getByText('Recorded', { exact: true }).waitFor();

  await page.getByRole('link', { name: 'What is due' }).click();
  await page.getByText('It does another duty').click();
  await page.getByLabel('Duty').fill('rough road');
  expect(await accessibilityFaults(page)).toEqual([]);
  await page.getByRole('button', { name: 'Record the duty' }).click();
  await page.getByText(/ · Rough road · /).waitFor();
  await page.getByRole('button', { name: /^Take back the duty from/ }).click();
  await page.getByRole('button', { name: 'Take it back' }).click();
  await page.getByText(/ · Rough road · /).waitFor({ state: 'detached' });
  expect(faultsOf(page)).toEqual([]);
});

it.each([
  ['wide and light', { width: 1_440, colorScheme: 'light' }],
  ['narrow and dark', { width: 320, colorScheme: 'dark' }],
] as const)(
  'can be read by everybody, %s',
  async (_, visitor) => {
    const page = await desk.signedIn('administrator', visitor);
    const { vehicleId } = await quarantined();
    const faults: string[] = [];
    const look = async (path: string): Promise<void> => {
      await page.goto(`/desk${path}`);
      await drawn(page);
      faults.push(...(await accessibilityFaults(page)).map((fault) => `${path}: ${fault}`));
      const overflow = await sidewaysOverflow(page);
      if (overflow > 0) faults.push(`${path} overflows by ${overflow}`);
    };
    for (const part of PARTS) await look(`/vehicles/${vehicleId}/${part}`.replace(/\/$/, ''));
    await page.goto(`/desk/vehicles/${vehicleId}`);
    const unit = page
      .getByRole('group', { name: /^How the fluid system/ })
      .getByRole('link')
      .first();
    await unit.waitFor();
    const href = (await unit.getAttribute('href')) ?? '';
    await look(href.replace('/desk', ''));
    await page.goto('/desk/vehicles');
    await page.getByRole('table').waitFor();
    faults.push(...(await accessibilityFaults(page)));
    expect(await sidewaysOverflow(page)).toBeLessThanOrEqual(0);
    expect(faults).toEqual([]);
    expect(faultsOf(page)).toEqual([]);
  },
  120_000,
);
