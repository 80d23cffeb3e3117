import { spawn, spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { freePort } from '../support/api-process';
import { CuttableProxy } from '../support/cuttable-proxy';
import { soakOr } from '../support/soak';
import { TwoApiProcesses } from '../support/two-api-processes';
import { makeWorkshop, type WorkshopWorld } from '../support/workshop-world';

// The example of docs/integration.md as an integrator runs it: its client is generated from the contract by
// openapi-typescript, its requests sent by openapi-fetch, its webhooks verified by standardwebhooks.

jest.setTimeout(soakOr(1_800_000, 600_000));

const VEHICLES = soakOr(5_000, 600);
/** So few that an example with many vehicles has to wait for the next minute. */
const REQUESTS_PER_MINUTE = 40;
const EXAMPLE = join(process.cwd(), 'examples/integration');

interface Told {
  step: string;
  [figure: string]: unknown;
}

let two: TwoApiProcesses;
let world: WorkshopWorld;
beforeAll(async () => {
  for (const script of ['example:generate', 'example:check']) {
    const { status, stdout, stderr } = spawnSync('npm', ['run', script], { encoding: 'utf8' });
    if (status !== 0) throw new Error(`${script}:\n${stdout}\n${stderr}`);
  }
  two = await TwoApiProcesses.start('Tarn Valley', {
    WEBHOOK_TO_LOOPBACK: 'true',
    REQUESTS_PER_MINUTE: String(REQUESTS_PER_MINUTE),
  });
  world = await makeWorkshop(two, { bays: 1, technicians: 1, vehicles: 3 });
});
afterAll(() => two.stop());

/** What an administrator does for somebody who wants to connect a system: a client, a depot's key, an address for webhooks. */
async function admit(port: number): Promise<Record<string, string>> {
  const { id: fleetId } = await two.made<{ id: string }>('/v1/fleets', { name: 'Sold by the dealer' });
  const depot = { fleetId, name: 'Lower Tarn', externalKey: 'D1', zone: 'Europe/London' };
  await two.made('/v1/depots', depot);
  const client = await two.made<{ clientId: string; clientSecret: string }>('/v1/oauth-clients', {
    name: 'dealer system',
    role: 'dealer-system',
  });
  const endpoint = await two.made<{ id: string; secret: string }>('/v1/webhook-endpoints', {
    url: `http://127.0.0.1:${port}/precharge`,
  });
  return {
    CLIENT_ID: client.clientId,
    CLIENT_SECRET: client.clientSecret,
    WEBHOOK_ENDPOINT_ID: endpoint.id,
    WEBHOOK_SECRET: endpoint.secret,
    WEBHOOK_PORT: String(port),
    DEPOT_KEY: depot.externalKey,
    VEHICLES: String(VEHICLES),
  };
}

/** Somebody else who works with the same records. */
async function changeVehicles(): Promise<void> {
  for (const [number, vehicleId] of world.vehicleIds.entries()) {
    const ifMatch = { 'if-match': '"r1"' };
    const body = { fleetNumber: `changed ${number}` };
    const { status } = await two.send(1, 'PATCH', `/v1/vehicles/${vehicleId}`, body, ifMatch);
    if (status !== 200) throw new Error(`the change answered ${status}`);
  }
}

it(`the example loads ${VEHICLES} vehicles, books, and has a copy that equals the server's in the end`, async () => {
  const port = await freePort();
  const settings = await admit(port);
  const proxy = await CuttableProxy.to(two.apis[0]!.address);
  // each is carried out, and the answer is lost
  for (const request of [
    'POST /v1/oauth/token',
    'POST /v1/imports',
    'POST /v1/free-times',
    'POST /v1/bookings',
  ])
    proxy.cutWhenAnswered(request);

  const example = spawn(process.execPath, ['run.ts'], {
    cwd: EXAMPLE,
    env: {
      PATH: process.env.PATH,
      PRECHARGE: new URL(proxy.reach(two.apis[0]!.address)).origin,
      ...settings,
    },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let failure = '';
  example.stderr.on('data', (data: Buffer) => (failure += data.toString()));
  const told: Told[] = [];
  for await (const line of createInterface({ input: example.stdout })) {
    const step = JSON.parse(line) as Told;
    told.push(step);
    if (step.step === 'consented') {
      const forged = { method: 'POST', headers: { 'webhook-id': 'x' }, body: '{"type":"webhook.consent"}' };
      expect((await fetch(`http://127.0.0.1:${port}/precharge`, forged)).status).toBe(401);
    }
    if (step.step === 'loaded') {
      proxy.cut();
      await changeVehicles();
      proxy.restore();
    }
  }
  await proxy.close();
  expect([failure, told.map(({ step }) => step)]).toEqual(['', ['consented', 'loaded', 'booked', 'done']]);
  const [, loaded, , done] = told;
  // the file was handed over twice, because the first answer was lost: the second time it changes nothing
  expect(loaded).toMatchObject({ rejected: 0 });
  const bookings = await two.all<{ note: string | null }>('/v1/bookings');
  expect(bookings.map(({ note }) => note)).toEqual(['sent by the integration example']);
  expect(done).toMatchObject({
    equal: true,
    vehicles: VEHICLES + world.vehicleIds.length,
    bookings: 1,
    refused: 1,
  });
  const { connections, throttled, changes, webhooks } = done as unknown as Record<string, number>;
  expect(connections).toBeGreaterThanOrEqual(5);
  // few requests may fall into two minutes
  expect(throttled).toBeGreaterThanOrEqual(soakOr(1, 0));
  expect(changes).toBeGreaterThanOrEqual(VEHICLES);
  expect(webhooks).toBeGreaterThan(0);
  console.log(JSON.stringify(done));
});
