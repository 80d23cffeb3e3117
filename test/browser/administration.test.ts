import { readFile } from 'node:fs/promises';
import { request } from 'node:http';
import { Client } from 'pg';
import type { Page } from 'playwright-core';
import { accessibilityFaults, Desk, faultsOf, PASSWORD, sidewaysOverflow } from './desk';

const SECTIONS = [
  'operator',
  'workshops',
  'people',
  'programmes',
  'gas-units',
  'keys',
  'calendars',
  'webhooks',
  'imports',
  'audit',
];

let desk: Desk;
let administrator: Page;
beforeAll(async () => {
  desk = await Desk.open();
  administrator = await desk.signedIn('administrator');
}, 300_000);
afterAll(() => desk.close());

const open = async (section: string, heading: string): Promise<void> => {
  await administrator.goto(`/desk/administration/${section}`);
  await administrator.getByRole('heading', { name: heading, exact: true }).waitFor();
};
const dialog = () => administrator.getByRole('dialog');
const press = (name: string | RegExp) => administrator.getByRole('button', { name }).click();

async function invite(name: string, email: string): Promise<string> {
  await open('people', 'Who may sign in');
  await press('Invite somebody');
  await dialog().getByLabel('Name').fill(name);
  await dialog().getByLabel('Email address').fill(email);
  await dialog().getByLabel('Role').selectOption({ label: 'Front desk' });
  await dialog().getByRole('button', { name: 'Invite' }).click();
  return dialog().getByLabel('Link to hand over').inputValue();
}

it('invites somebody, who signs in through the link and sees what the role allows', async () => {
  const link = await invite('Robin', 'robin@tarn-valley.example');
  await dialog()
    .getByText(/It opens once, until/)
    .waitFor();
  expect(await accessibilityFaults(administrator)).toEqual([]);
  await dialog().getByRole('button', { name: 'Copy' }).click();
  await dialog()
    .getByText(/^Copied\.|copy it with Ctrl\+C/)
    .waitFor();
  await press('I have noted it');

  const robin = await desk.visitor();
  await robin.goto(link);
  await robin.getByLabel('New password').fill(PASSWORD);
  await robin.getByRole('button', { name: 'Keep it and sign in' }).click();
  const parts = robin.getByRole('navigation', { name: 'Parts of the desk' });
  await parts.getByRole('link', { name: 'Front desk' }).waitFor();
  expect(await parts.getByRole('link', { name: 'Administration' }).count()).toBe(0);
  await robin.goto('/desk/administration/people');
  await robin.getByRole('heading', { name: 'Not here' }).waitFor();
  expect(faultsOf(robin)).toEqual([]);

  await administrator.reload();
  await administrator.getByRole('row', { name: /Robin.*Front desk.*active/ }).waitFor();
});

it('keeps what was typed when an invitation is refused, with the reason', async () => {
  await open('people', 'Who may sign in');
  await press('Invite somebody');
  await dialog().getByLabel('Name').fill('Robin the second');
  await dialog().getByLabel('Email address').fill('robin@tarn-valley.example');
  await dialog().getByRole('button', { name: 'Invite' }).click();
  await dialog().getByRole('alert').waitFor();
  expect(await dialog().getByLabel('Name').inputValue()).toBe('Robin the second');
  await dialog().getByLabel('Email address').fill('nobody');
  await dialog().getByRole('button', { name: 'Invite' }).click();
  await administrator.waitForSelector('dialog [aria-invalid=true]');
  expect(await dialog().getByLabel('Email address').getAttribute('aria-invalid')).toBe('true');
  expect(await accessibilityFaults(administrator)).toEqual([]);
});

it('unlocks whoever has to wait after wrong passwords', async () => {
  const email = 'heron@tarn-valley.example';
  const [, invitation = ''] = (await invite('Heron', email)).split('#');
  await press('I have noted it');
  const accepted = await (await desk.visitor()).context().request.post('/v1/invitation-acceptances', {
    data: { invitation, password: PASSWORD },
    headers: { origin: desk.address },
  });
  expect(accepted.status()).toBe(201);
  await administrator.reload();
  const answers: number[] = [];
  while (answers.length < 10 && answers.at(-1) !== 429)
    answers.push(await signInFromElsewhere(email, 'a guess'));
  expect(answers.at(-1)).toBe(429);
  expect(await signInFromElsewhere(email, PASSWORD)).toBe(429);

  await press('Unlock: Heron');
  await dialog().getByRole('button', { name: 'Unlock' }).click();
  await dialog().waitFor({ state: 'detached' });
  expect(await signInFromElsewhere(email, PASSWORD)).toBe(201);
});

/** From a network that nobody has signed in from: another address of this machine. */
function signInFromElsewhere(email: string, password: string): Promise<number> {
  return new Promise((resolve, reject) => {
    const asked = request(`${desk.address}/v1/sessions`, {
      method: 'POST',
      localAddress: '127.0.9.9',
      headers: { 'content-type': 'application/json', origin: desk.address },
    });
    asked.on('error', reject);
    asked.on('response', (answer) => {
      answer.resume();
      resolve(answer.statusCode ?? 0);
    });
    asked.end(JSON.stringify({ email, password }));
  });
}

it('shows what somebody else changed meanwhile, and lets one go on', async () => {
  await open('operator', 'Fleets');
  const { items } = await desk.api.get<{ items: { id: string; name: string; revision: number }[] }>(
    '/v1/fleets',
  );
  const [fleet] = items;
  if (fleet === undefined) throw new Error('the demo has no fleet');
  await press(`Change fleet ${fleet.name}`);
  await desk.api.send('PATCH', `/v1/fleets/${fleet.id}`, { externalKey: 'north' }, `"r${fleet.revision}"`);
  await dialog().getByLabel('Name').fill('Tarn Valley, north');
  await dialog().getByRole('button', { name: 'Keep' }).click();
  await dialog().getByText('Somebody else has changed this in the meantime.').waitFor();
  expect(await dialog().getByLabel('Own key').inputValue()).toBe('north');
  expect(await dialog().getByLabel('Name').inputValue()).toBe('Tarn Valley, north');
  expect(await accessibilityFaults(administrator)).toEqual([]);
  await dialog().getByRole('button', { name: 'Keep all the same' }).click();
  await administrator.getByRole('row', { name: /Tarn Valley, north.*north/ }).waitFor();
});

it('shows the bookings that other opening hours break', async () => {
  const workshop = desk.workshops[0]?.workshop;
  if (workshop === undefined) throw new Error('the demo has no workshop');
  await open(`workshops/${workshop.id}`, workshop.name);
  await administrator.getByLabel('Monday').fill('whenever');
  await press(/^Keep$/);
  await administrator
    .getByText(/Monday: “whenever” says no hours/)
    .first()
    .waitFor();
  for (const day of ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday'])
    await administrator.getByLabel(day).fill('');
  await press(/^Keep$/);
  await administrator.getByText(/no longer fits? hours, bays and people/).waitFor();
  expect(await administrator.getByRole('link', { name: 'open the diary' }).getAttribute('href')).toBe(
    `/desk/diary/${workshop.id}`,
  );
  expect(await accessibilityFaults(administrator)).toEqual([]);
});

it('changes a rule in a draft, shows what that moves, and publishes it', async () => {
  await open('programmes', 'All programmes');
  await administrator.getByRole('table', { name: 'Service programmes' }).getByRole('link').first().click();
  await administrator
    .getByText(/confirm against the maker's schedule/)
    .first()
    .waitFor();
  await press(/New draft from version/);
  await dialog()
    .getByLabel(/What will be different/)
    .fill('The fluid every year');
  await press('Make the draft');

  await press('Change rule fluid-change-mineral');
  await dialog().getByLabel('Every so many months').fill('0');
  await press('Keep in the draft');
  await administrator.waitForSelector('dialog [aria-invalid=true]');
  expect(await dialog().getByLabel('Every so many months').getAttribute('aria-invalid')).toBe('true');
  await dialog().getByLabel('Write the rule as JSON').check();
  await press('Keep in the draft');
  await dialog()
    .getByText(/^▲ Line \d+, everyMonths: /)
    .waitFor();
  expect(await accessibilityFaults(administrator)).toEqual([]);
  await dialog().getByLabel('Write the rule as JSON').uncheck();
  await dialog().getByLabel('Every so many months').fill('12');
  await press('Keep in the draft');
  await administrator.getByRole('row', { name: /fluid-change-mineral.*every 12 months/ }).waitFor();

  await press('Work it out');
  const moves = administrator.getByRole('table', { name: 'Due items that would move' });
  await moves.waitFor();
  expect(await moves.getByRole('row').count()).toBeGreaterThan(1);
  expect(await accessibilityFaults(administrator)).toEqual([]);

  await press('Publish …');
  await dialog().getByRole('button', { name: 'Publish' }).click();
  await administrator.getByText(/^Published/).waitFor();
  const { items } = await desk.api.get<{
    items: { latestVersion: { versionNumber: number; state: string } }[];
  }>('/v1/service-programmes');
  expect(items[0]?.latestVersion).toMatchObject({ versionNumber: 2, state: 'published' });
});

it('makes a key that opens the API until it is revoked', async () => {
  await open('keys', 'API keys');
  await press('Make a key');
  await dialog().getByLabel('Name').fill('Dealer at Tarnholme');
  await press('Make the key');
  const key = await dialog().getByLabel('Key', { exact: true }).inputValue();
  await press('I have noted it');
  const read = async () =>
    (await fetch(`${desk.address}/v1/fleets`, { headers: { authorization: `Bearer ${key}` } })).status;
  expect(await read()).toBe(200);

  await press('Revoke key Dealer at Tarnholme');
  await dialog()
    .getByText(/stops reading and recording/)
    .waitFor();
  await dialog().getByRole('button', { name: 'Revoke it' }).click();
  await dialog().waitFor({ state: 'detached' });
  expect(await read()).toBe(401);
});

it('makes a calendar feed whose address is read without a key', async () => {
  await open('calendars', 'Feeds');
  await press('Make a feed');
  await dialog().getByLabel('For', { exact: true }).fill('The wall of the workshop');
  await press('Make the feed');
  const address = await dialog().getByLabel('Address').inputValue();
  await press('I have noted it');
  const path = new URL(address).pathname;
  expect((await fetch(`${desk.address}${path}`)).status).toBe(200);
  await administrator.getByRole('row', { name: /The wall of the workshop/ }).waitFor();
});

it('tries a file out, names what is wrong with its lines, and takes the corrected rejects', async () => {
  await open('imports', 'Hand a file over');
  await administrator.getByLabel('Records').selectOption('fleets');
  const hand = (name: string, text: string) =>
    administrator
      .getByLabel('File', { exact: true })
      .setInputFiles({ name, mimeType: 'text/csv', buffer: Buffer.from(text, 'utf8') });
  await hand('fleets.txt', 'externalKey,name\n');
  await press('Try it out');
  await administrator.getByText(/ends neither in .csv nor in .ndjson/).waitFor();
  await hand('fleets.csv', 'externalKey,name\nf-1,Upper valley\nf-2,\n');
  await press('Try it out');
  await administrator.getByText('finished, 1 rejected').first().waitFor();
  await administrator.getByText('Tried out: nothing is stored.').waitFor();
  await administrator.getByRole('row', { name: /3 rejected name:/ }).waitFor();
  expect(await accessibilityFaults(administrator)).toEqual([]);

  const downloading = administrator.waitForEvent('download');
  await administrator.getByRole('link', { name: 'Save the rejected lines' }).click();
  const rejects = await readFile(await (await downloading).path(), 'utf8');
  expect(rejects).toMatch(/^externalKey,name,problem/);
  await hand('rejects.csv', rejects.replace('f-2,,', 'f-2,Lower valley,'));
  await press('Store it');
  await administrator.getByText(/1 new, 0 changed/).waitFor();
  await administrator.getByText('finished', { exact: true }).waitFor();
  await open('operator', 'Fleets');
  await administrator.getByRole('row', { name: /Lower valley.*f-2/ }).waitFor();
});

it('shows what an entry changed, and checks the chain', async () => {
  await open('audit', 'Entries');
  await administrator.getByLabel('What', { exact: true }).selectOption({ label: 'Fleet' });
  await press(/^Show$/);
  await administrator.getByRole('heading', { name: 'Fleet created' }).first().waitFor();
  await administrator
    .getByText(/fields?, record/)
    .first()
    .click();
  await administrator.getByRole('table').first().waitFor();
  expect(await accessibilityFaults(administrator)).toEqual([]);

  await press('Check the trail');
  await administrator.getByText(/^In order: [\d,]+ entries\./).waitFor();
  await administrator.getByLabel('Heads noted earlier').fill('nonsense');
  await press('Check the trail');
  await administrator.getByText(/Line 1 is no head/).waitFor();
  await administrator.getByLabel('Heads noted earlier').fill(`1 ${'0'.repeat(64)}`);
  await press('Check the trail');
  await administrator.getByText('The chain does not lead to a head that was noted.').waitFor();

  // somebody who can write the database, and stops what would refuse it
  const client = new Client({ connectionString: desk.test.database.ownerUrl });
  await client.connect();
  await client.query('SET session_replication_role = replica');
  await client.query(
    `UPDATE audit_entries SET actor = 'nobody' WHERE id = (SELECT entry_id FROM audit_seals WHERE position = 7)`,
  );
  await client.end();
  await administrator.getByLabel('Heads noted earlier').fill('');
  await press('Check the trail');
  const alert = administrator.getByRole('alert').filter({ hasText: 'An entry is not what was sealed.' });
  expect(await alert.textContent()).toContain('Up to place 6 all is in order.');
  expect(await accessibilityFaults(administrator)).toEqual([]);
  expect(faultsOf(administrator)).toEqual([]);
});

it.each([
  ['operator', 'Fleets', 'Add a fleet'],
  ['operator', 'Fleets', 'Add a depot'],
  ['workshops', 'All workshops', 'Add a workshop'],
  ['people', 'Who may sign in', 'Invite somebody'],
  ['programmes', 'All programmes', 'Add a programme'],
  ['gas-units', 'Types of gas units', 'Add a type'],
  ['gas-units', 'Types of gas units', 'Add a gauge'],
  ['gas-units', 'Types of gas units', 'Add a position'],
  ['keys', 'API keys', 'Make a key'],
  ['keys', 'API keys', 'Make a client'],
  ['calendars', 'Feeds', 'Make a feed'],
  ['webhooks', 'Endpoints', 'Add an endpoint'],
])('asks in a dialog that everybody can use, and gives the focus back: %s, %s, %s', async (...asked) => {
  const [section, heading, name] = asked;
  await open(section, heading);
  const opener = administrator.getByRole('button', { name, exact: true });
  await opener.focus();
  await administrator.keyboard.press('Enter');
  await dialog().waitFor();
  expect(await dialog().evaluate((shown) => shown.contains(document.activeElement))).toBe(true);
  expect(await accessibilityFaults(administrator)).toEqual([]);
  await administrator.keyboard.press('Escape');
  await dialog().waitFor({ state: 'detached' });
  expect(await opener.evaluate((button) => button === document.activeElement)).toBe(true);
});

it.each(SECTIONS)('can be read by everybody, on a narrow dark screen too: %s', async (section) => {
  for (const [width, colorScheme] of [
    [1_440, 'light'],
    [320, 'dark'],
  ] as const) {
    await administrator.setViewportSize({ width, height: 900 });
    await administrator.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
    await administrator.goto(`/desk/administration/${section}`);
    await administrator.getByRole('heading', { level: 2 }).first().waitFor();
    await administrator.waitForLoadState('networkidle');
    expect(await accessibilityFaults(administrator)).toEqual([]);
    expect(await sidewaysOverflow(administrator)).toBeLessThanOrEqual(0);
  }
  expect(faultsOf(administrator)).toEqual([]);
});
