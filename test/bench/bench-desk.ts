import type { BrowserContext, CDPSession, Page } from 'playwright-core';
import { ApiClient } from '../../src/cli/api-client';
import { fillDiary } from '../../src/cli/demo/fill-diary';
import { loadTarnValley } from '../../src/cli/demo/load-tarn-valley';
import { tarnValleyFleet } from '../../src/cli/demo/tarn-valley/tarn-valley-fleet';
import { localDateAt } from '../../src/core/shared/calendar-date';
import type { PersonWithInvitationDto } from '../../src/modules/people/dto/person.dto';
import type { VehicleDto } from '../../src/modules/vehicles/dto/vehicle.dto';
import { createOrganisation } from '../../src/platform/database/create-organisation';
import { startBrowser } from '../support/start-browser';
import { startApi, startBenchPostgres } from './bench-server';
import { median, type Figure } from './figures';

const PORT = 3_961;
const CALLS = 8;
const SEED = 1;

/** What the front desk's first load brings over the wire, and how soon the page answers a key with the demo's data. */
export async function benchDesk(): Promise<Figure[]> {
  const postgres = await startBenchPostgres();
  const api = await startApi(postgres.url(), PORT);
  const browser = await startBrowser();
  try {
    const fleet = tarnValleyFleet({ seed: SEED, todayOn: localDateAt(Date.now(), 'Europe/London') });
    const { administratorKey } = await createOrganisation(postgres.url(), fleet.fleet.name);
    const client = new ApiClient(api.address, administratorKey);
    await loadTarnValley(client, fleet);
    await fillDiary(client, SEED);
    const context = await browser.newContext({ baseURL: api.address, locale: 'en-GB' });
    await signIn(context, client, api.address);
    const page = await context.newPage();
    const kilobytes = await firstLoadKb(page, await context.newCDPSession(page));
    const vehicles = await client.getAll<VehicleDto>('/v1/vehicles');
    const marks = vehicles.slice(0, CALLS).map(({ registrationMark }) => registrationMark);
    const { answers, keys } = await callsOf(page, marks);
    return [
      {
        key: 'desk_first_load_kb',
        value: kilobytes,
        unit: 'kB',
        comparison: 'bytes over the wire until the front desk stands, answers of the API included',
      },
      {
        key: 'desk_key_ms',
        value: Math.max(...keys),
        unit: 'ms',
        comparison: `the slowest of ${keys.length} keys and presses of ${CALLS} calls, until the next frame (Event Timing)`,
      },
      {
        key: 'desk_found_ms',
        value: median(answers),
        unit: 'ms',
        comparison:
          'from the last letter of a mark until the list shows it, the wait for more letters included',
      },
    ];
  } finally {
    await browser.close();
    await api.stop();
    await postgres.remove();
  }
}

async function signIn(context: BrowserContext, client: ApiClient, address: string): Promise<void> {
  const person = { name: 'Robin', email: 'robin@tarn-valley.example', role: 'front-desk' };
  const { invitation } = await client.send<PersonWithInvitationDto>('POST', '/v1/people', person);
  const answer = await context.request.post('/v1/invitation-acceptances', {
    data: { invitation, password: 'a kettle by the tarn' },
    headers: { origin: address },
  });
  if (!answer.ok()) throw new Error(await answer.text());
}

async function firstLoadKb(page: Page, devTools: CDPSession): Promise<number> {
  let bytes = 0;
  await devTools.send('Network.enable');
  devTools.on('Network.loadingFinished', ({ encodedDataLength }) => {
    bytes += encodedDataLength;
  });
  await page.goto('/desk/front-desk', { waitUntil: 'networkidle' });
  await findBox(page).waitFor();
  return bytes / 1_000;
}

// lists to choose from are combo boxes to a screen reader as well
const findBox = (page: Page) => page.getByRole('combobox', { name: /^Registration mark/ });

/** Calls one after the other: a mark is typed, found, picked, and a piece of work ticked and unticked. */
async function callsOf(page: Page, marks: readonly string[]): Promise<{ answers: number[]; keys: number[] }> {
  await page.evaluate(`
    globalThis.answeredKeys = [];
    new PerformanceObserver((list) => {
      for (const { interactionId, duration } of list.getEntries())
        if (interactionId > 0) globalThis.answeredKeys.push(duration);
    }).observe({ type: 'event', durationThreshold: 16 });
  `);
  const answers: number[] = [];
  for (const mark of marks) {
    const field = findBox(page);
    await field.fill('');
    await field.pressSequentially(mark.slice(0, -1));
    const started = performance.now();
    await field.press(mark.slice(-1));
    await page.getByRole('option', { name: mark }).waitFor();
    answers.push(performance.now() - started);
    await field.press('Enter');
    const work = page.getByRole('checkbox').first();
    await work.waitFor();
    await work.press('Space');
    await work.press('Space');
  }
  const keys = await page.evaluate<number[]>('globalThis.answeredKeys');
  // what took less than 16 ms is not told; no entry at all means that nothing took longer
  return { answers, keys: keys.length === 0 ? [16] : keys };
}
