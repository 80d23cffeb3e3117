import { SeededRandom } from '../../src/core/shared/seeded-random';
import { RETRY_DELAYS_MS } from '../../src/modules/webhook-endpoints/retry-schedule';
import { startTestApp, type TestApp } from '../support/test-app';
import { WebhookDesk } from '../support/webhook-desk';
import { consenting, type ReceivedMessage, type ReceiverConduct } from '../support/webhook-receiver';

jest.setTimeout(180_000);

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;

let test: TestApp;
let desk: WebhookDesk;
let depotId: string;

beforeAll(async () => {
  test = await startTestApp({ webhookToLoopback: true, webhookTimeoutMs: 1_500 });
});
afterAll(() => test.close());
beforeEach(async () => {
  desk = await WebhookDesk.open(test, 'Tarn Valley Patient Transport');
  depotId = await desk.operator.depot(await desk.operator.fleet('Patient transport'), 'Upper Tarn');
});
afterEach(() => desk.close());

/** Does as it is told with changes, and agrees to be sent them. */
function conductAs(conduct: (message: ReceivedMessage) => ReceiverConduct): void {
  desk.receiver.conduct = (message) =>
    message.event.type === 'webhook.consent' ? consenting(message) : conduct(message);
}

const vehicles = (count: number): Promise<string[]> =>
  Promise.all(Array.from({ length: count }, (_, n) => desk.operator.vehicle(depotId, `TVP ${n + 1}`)));

async function changeVehicle(vehicleId: string, revision: number): Promise<void> {
  const body = { fleetNumber: String(revision) };
  await desk.operator.admin.ok('patch', `/v1/vehicles/${vehicleId}`, { ifMatch: `"r${revision}"`, body });
}

/** Ids of all events about vehicles, in the order of the feed. */
async function feedOrder(): Promise<string[]> {
  const rows = await desk.sql<{ id: string }>(
    `SELECT id FROM events WHERE organisation_id = $1 AND vehicle_id IS NOT NULL ORDER BY xid, sequence`,
  );
  return rows.map(({ id }) => id);
}

const ofVehicle = (vehicleId: string): ReceivedMessage[] =>
  desk.receiver.events.filter(({ event }) => event.vehicleid === vehicleId);

it('a receiver that fails in every way is told everything at least once, and of each vehicle in order', async () => {
  const random = new SeededRandom(11);
  const endpoint = await desk.openEndpoint();
  const failures: ReceiverConduct[] = [
    'silence',
    'cut-before',
    'cut-within',
    { status: 500 },
    { status: 302 },
  ];
  let mostOfOneVehicle = 0;
  conductAs(({ event }) => {
    const inHand = desk.receiver.inHand.filter((one) => one.event.vehicleid === event.vehicleid);
    mostOfOneVehicle = Math.max(mostOfOneVehicle, inHand.length);
    return random.integer(0, 9) < 4
      ? (failures[random.integer(0, failures.length - 1)] ?? 'silence')
      : { status: 200 };
  });
  const vehicleIds = await vehicles(6);
  for (let revision = 1; revision <= 8; revision++) {
    await Promise.all(vehicleIds.map((vehicleId) => changeVehicle(vehicleId, revision)));
    if (revision % 3 === 0) await desk.deliver();
  }
  const order = await feedOrder();
  expect(order).toHaveLength(6 * 9);
  await desk.deliverUntil(async () => {
    desk.pass(HOUR);
    // five days without any success would end it; a turn with one success is enough
    return (await desk.deliveries(endpoint.id, '&state=delivered')).length === order.length;
  });

  const taken = new Set(desk.receiver.events.filter((message) => message.taken).map(({ id }) => id));
  expect(order.filter((id) => !taken.has(id))).toEqual([]);
  for (const vehicleId of vehicleIds) {
    const places = ofVehicle(vehicleId).map(({ id }) => order.indexOf(id));
    expect(places).toEqual([...places].sort((a, b) => a - b));
  }
  expect(mostOfOneVehicle).toBe(1);
  // the receiver was unpleasant enough, and what it says again it says with the same words
  expect(desk.receiver.events.length).toBeGreaterThan(order.length * 1.3);
  const bodies = new Map<string, string>();
  for (const { id, body } of desk.receiver.events)
    expect(bodies.get(id) ?? body).toBe((bodies.set(id, body), body));
});

it('a vehicle that is refused holds back itself alone, and what concerns no vehicle by its subject', async () => {
  const endpoint = await desk.openEndpoint();
  const [refused = '', other = ''] = await vehicles(2);
  conductAs(({ event }) => ({
    status: event.vehicleid === refused || event.subject.startsWith('fleet/') ? 500 : 200,
  }));
  for (const vehicleId of [refused, other])
    for (const revision of [1, 2]) await changeVehicle(vehicleId, revision);
  const fleetId = await desk.operator.fleet('School runs');
  await desk.operator.admin.ok('patch', `/v1/fleets/${fleetId}`, {
    ifMatch: '"r1"',
    body: { name: 'School' },
  });
  await desk.operator.depot(fleetId, 'Lower Tarn');
  await desk.deliverAll();
  const types = (key: string): string[] =>
    desk.receiver.events
      .filter(({ event }) => event.vehicleid === key || event.subject.startsWith(key))
      .map(({ event }) => event.type);
  expect(types(other)).toEqual(['vehicle.created', 'vehicle.changed', 'vehicle.changed']);
  expect(types(refused)).toEqual(['vehicle.created']);
  expect(types('fleet/')).toEqual(['fleet.created']);
  expect(types('depot/')).toEqual(['depot.created']);
  const waiting = await desk.deliveries(endpoint.id, '&state=waiting');
  expect(new Set(waiting.map(({ orderingKey }) => orderingKey))).toEqual(
    new Set([`vehicle:${refused}`, `fleet:${fleetId}`]),
  );

  // what is given up makes way for the next
  await desk.sql(
    `UPDATE webhook_deliveries SET failed_attempts = 9 WHERE organisation_id = $1 AND failed_attempts > 0`,
  );
  desk.pass(HOUR);
  await desk.deliver();
  expect(types(refused)).toEqual(['vehicle.created', 'vehicle.created', 'vehicle.changed']);
});

it('is tried again after 5 s, 5 min, 30 min, 2 h, 5 h, 10 h, 14 h, 20 h and 24 h, not before, and then no more', async () => {
  const endpoint = await desk.openEndpoint();
  conductAs(() => ({ status: 500 }));
  const [vehicleId = ''] = await vehicles(1);
  await desk.deliverUntil(() => desk.receiver.events.length > 0);
  for (const [failed, delay] of RETRY_DELAYS_MS.entries()) {
    if (failed === 0) continue;
    const [delivery] = await desk.deliveries(endpoint.id);
    const wait = Date.parse(delivery?.nextAttemptAt ?? '') - desk.time;
    expect([wait >= delay, wait <= 1.2 * delay, delivery?.failedAttempts]).toEqual([true, true, failed]);
    desk.pass(wait - 1);
    await desk.deliver();
    expect(ofVehicle(vehicleId)).toHaveLength(failed);
    desk.pass(1);
    await desk.deliver();
    expect(ofVehicle(vehicleId)).toHaveLength(failed + 1);
  }
  expect(await desk.deliveries(endpoint.id)).toMatchObject([
    { state: 'dead', failedAttempts: 10, nextAttemptAt: null },
  ]);
  desk.pass(48 * HOUR);
  await desk.deliver();
  expect(ofVehicle(vehicleId)).toHaveLength(10);
});

it.each([
  [429, '120'],
  [503, new Date(Date.parse('2026-11-25T12:02:00Z')).toUTCString()],
])(
  'a receiver that answers %i with Retry-After %s is left alone until then, whatever it is about',
  async (status, retryAfter) => {
    const endpoint = await desk.openEndpoint();
    conductAs(() => ({ status, headers: { 'retry-after': retryAfter } }));
    await vehicles(1);
    await desk.deliverUntil(() => desk.receiver.events.length > 0);
    conductAs(() => ({ status: 200 }));
    await desk.operator.vehicle(depotId, 'TVP 99');
    desk.pass(2 * MINUTE - 1);
    await desk.deliverAll();
    expect(desk.receiver.events).toHaveLength(1);
    desk.pass(1);
    await desk.deliverUntil(() => desk.receiver.events.length === 3);
    expect((await desk.deliveries(endpoint.id)).map(({ state }) => state)).toEqual([
      'delivered',
      'delivered',
    ]);
  },
);

it('a receiver that takes nothing for five days is given up, and nothing is lost when it is opened again', async () => {
  const endpoint = await desk.openEndpoint();
  conductAs(() => ({ status: 500 }));
  await vehicles(1);
  await desk.deliverUntil(() => desk.receiver.events.length > 0);
  expect((await desk.endpoint(endpoint.id)).failingSince).toBe(new Date(desk.time).toISOString());
  desk.pass(120 * HOUR);
  await desk.deliver();
  expect(await desk.endpoint(endpoint.id)).toMatchObject({
    state: 'disabled',
    disabledReason: 'unreachable',
  });
  const before = desk.receiver.events.length;
  await desk.operator.vehicle(depotId, 'TVP 99');
  await desk.deliverAll();
  expect(desk.receiver.events).toHaveLength(before);

  conductAs(() => ({ status: 200 }));
  // it has consented before and did not take that back
  expect(await desk.change(endpoint.id, { enabled: true })).toMatchObject({
    state: 'active',
    failingSince: null,
  });
  await desk.deliverUntil(() => desk.receiver.events.length === before + 2);
});

it('a receiver that is down is tried with one message at a time, and is caught up with when it is back', async () => {
  const endpoint = await desk.openEndpoint();
  const inHand: number[] = [];
  conductAs(() => {
    inHand.push(desk.receiver.inHand.length);
    return 'silence';
  });
  await vehicles(12);
  await desk.deliverAll();
  expect(inHand).toHaveLength(12);
  expect([Math.max(...inHand.slice(0, 8)), Math.max(...inHand.slice(8))]).toEqual([8, 1]);
  desk.pass(HOUR);
  conductAs(() => ({ status: 200 }));
  await desk.deliverUntil(async () => (await desk.deliveries(endpoint.id, '&state=delivered')).length === 12);
});
