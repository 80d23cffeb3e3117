import { setTimeout as sleep } from 'node:timers/promises';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import { soakOr } from '../support/soak';
import { TwoApiProcesses } from '../support/two-api-processes';
import { WebhookReceiver, consenting, signaturesBy } from '../support/webhook-receiver';

jest.setTimeout(soakOr(3_600_000, 300_000));

// whoever is killed keeps its turn for a while: a quarter of an hour in all
const KILLS = soakOr(60, 2);
const VEHICLES = 6;

let two: TwoApiProcesses;
let receiver: WebhookReceiver;

beforeAll(async () => {
  receiver = await WebhookReceiver.start();
  two = await TwoApiProcesses.start('Tarn Valley', { WEBHOOK_TO_LOOPBACK: 'true' });
});
afterAll(async () => {
  await two.stop();
  receiver.stop();
});

/** Sends until a living process has answered. */
async function insist<Body>(
  method: 'POST' | 'PATCH',
  path: string,
  body: object,
  headers: Record<string, string> = {},
) {
  for (let turn = 0; ; turn++) {
    try {
      return await two.send<Body>(turn, method, path, body, headers);
    } catch {
      // killed in the middle: whether it was done is for the next answer to say
      await sleep(50);
    }
  }
}

async function changeVehicle(vehicleId: string, value: number): Promise<void> {
  for (;;) {
    const { body: vehicle } = await insistOnReading<{ revision: number }>(`/v1/vehicles/${vehicleId}`);
    const headers = { 'if-match': `"r${vehicle.revision}"` };
    const { status } = await insist(
      'PATCH',
      `/v1/vehicles/${vehicleId}`,
      { fleetNumber: String(value) },
      headers,
    );
    // 412: the attempt before had been committed
    if (status === 200 || status === 412) return;
  }
}

async function insistOnReading<Body>(path: string) {
  for (let turn = 0; ; turn++) {
    try {
      return await two.send<Body>(turn, 'GET', path);
    } catch {
      await sleep(50);
    }
  }
}

it(`${KILLS} times a process is killed while it delivers to a flaky receiver: all is told at least once, in order`, async () => {
  const random = new SeededRandom(5);
  receiver.conduct = (message) => {
    if (message.event.type === 'webhook.consent') return consenting(message);
    const chance = random.integer(0, 9);
    return chance === 0
      ? 'cut-before'
      : chance === 1
        ? { status: 500 }
        : chance === 2
          ? 'cut-within'
          : { status: 204 };
  };
  const { id: endpointId, secret } = await two.made<{ id: string; secret: string }>('/v1/webhook-endpoints', {
    url: receiver.url,
  });
  const { id: fleetId } = await two.made<{ id: string }>('/v1/fleets', { name: 'Patient transport' });
  const depot = { fleetId, name: 'Upper Tarn', zone: 'Europe/London' };
  const { id: depotId } = await two.made<{ id: string }>('/v1/depots', depot);
  const vehicleIds: string[] = [];
  for (let n = 0; n < VEHICLES; n++) {
    const vehicle = { depotId, registrationMark: `TVP ${n}`, dutyClass: 'normal', odometerUnit: 'km' };
    vehicleIds.push((await two.made<{ id: string }>('/v1/vehicles', vehicle)).id);
  }

  let writing = true;
  const writers = vehicleIds.map(async (vehicleId) => {
    for (let value = 1; writing; value++) {
      await changeVehicle(vehicleId, value);
      await sleep(random.integer(300, 1_500));
    }
  });
  // failures wait for minutes and hours; here time passes quicker for them
  const hurry = async (): Promise<void> => {
    await two.sql(`UPDATE webhook_lanes SET due_at = now() WHERE due_at > now()`);
    await two.sql(`UPDATE app.turns SET due_at = now() WHERE lease IS NULL`);
  };
  for (let kill = 0; kill < KILLS; kill++) {
    const before = receiver.events.length;
    // whoever holds the turn now is in the middle of it
    while (receiver.events.length < before + 5) {
      await hurry();
      await sleep(random.integer(10, 100));
    }
    await two.killAndRestart(kill % 2);
  }
  writing = false;
  await Promise.all(writers);

  const order = (
    await two.sql<{ id: string }>(`SELECT id FROM events WHERE vehicle_id IS NOT NULL ORDER BY xid, sequence`)
  ).map(({ id }) => id);
  expect(order.length).toBeGreaterThan(VEHICLES * 2);
  const missing = (): string[] => {
    const taken = new Set(receiver.events.filter((message) => message.taken).map(({ id }) => id));
    return order.filter((id) => !taken.has(id));
  };
  while (missing().length > 0) {
    await hurry();
    await sleep(100);
  }
  for (const vehicleId of vehicleIds) {
    const places = receiver.events
      .filter(({ event }) => event.vehicleid === vehicleId)
      .map(({ id }) => order.indexOf(id));
    expect(places).toEqual([...places].sort((a, b) => a - b));
  }
  expect(receiver.messages.every((message) => signaturesBy(secret, message) === 1)).toBe(true);
  const [left] = await two.sql<{ waiting: string; delivered: string }>(
    `SELECT count(*) FILTER (WHERE state = 'waiting') AS waiting, count(*) FILTER (WHERE state = 'delivered') AS delivered
      FROM webhook_deliveries WHERE endpoint_id = $1 AND lane LIKE 'vehicle:%'`,
    [endpointId],
  );
  console.log(`${order.length} events, ${receiver.events.length} messages, left: ${JSON.stringify(left)}`);
});
