import { setTimeout as sleep } from 'node:timers/promises';
import { WebhookCourierService } from '../../src/modules/webhook-endpoints/webhook-courier.service';
import { startTestApp, type TestApp } from '../support/test-app';
import { WebhookDesk } from '../support/webhook-desk';
import { WebhookReceiver, consenting, type ReceiverConduct } from '../support/webhook-receiver';

const HOUR = 3_600_000;

let test: TestApp;
let desk: WebhookDesk;
let depotId: string;

beforeAll(async () => {
  test = await startTestApp({ webhookToLoopback: true });
});
afterAll(() => test.close());
beforeEach(async () => {
  desk = await WebhookDesk.open(test, 'Tarn Valley Patient Transport');
  depotId = await desk.operator.depot(await desk.operator.fleet('Patient transport'), 'Upper Tarn');
});
afterEach(() => desk.close());

/** Another process that goes round, an hour later, so that whatever waits is due. */
async function startCourier(): Promise<TestApp> {
  const other = await startTestApp({ webhookToLoopback: true }, { beside: test });
  other.setNow(desk.time + HOUR);
  other.app.get(WebhookCourierService).start();
  return other;
}

async function until(isSo: () => boolean | Promise<boolean>): Promise<void> {
  while (!(await isSo())) await sleep(20);
}

async function leases(): Promise<number> {
  const [row] = await desk.sql<{ count: string }>(
    `SELECT count(*) AS count FROM app.turns WHERE organisation_id = $1 AND lease IS NOT NULL`,
  );
  return Number(row?.count);
}

it('goes round by itself, and every endpoint has its turn', async () => {
  const other = await WebhookReceiver.start();
  await desk.openEndpoint();
  await desk.openEndpoint({ url: other.url });
  await desk.operator.vehicle(depotId, 'TVP 101');
  const courier = await startCourier();
  await until(() => desk.receiver.events.length === 1 && other.events.length === 1);
  await courier.close();
  other.stop();
  expect(await leases()).toBe(0);
});

it('two of them share the work: nobody is told twice', async () => {
  const endpoint = await desk.openEndpoint();
  const count = 30;
  for (let n = 0; n < count; n++) await desk.operator.vehicle(depotId, `TVP ${n}`);
  const couriers = [await startCourier(), await startCourier()];
  await until(async () => (await desk.deliveries(endpoint.id, '&state=delivered')).length === count);
  for (const courier of couriers) await courier.close();
  expect(desk.receiver.events).toHaveLength(count);
});

it('lets a message arrive that is on its way when the process is stopped, and begins no other', async () => {
  const endpoint = await desk.openEndpoint();
  let arrived: (conduct: ReceiverConduct) => void = () => undefined;
  const conduct = new Promise<ReceiverConduct>((resolve) => (arrived = resolve));
  desk.receiver.conduct = (message) =>
    message.event.type === 'webhook.consent' ? consenting(message) : conduct;
  const vehicleId = await desk.operator.vehicle(depotId, 'TVP 101');
  await desk.operator.admin.ok('patch', `/v1/vehicles/${vehicleId}`, {
    ifMatch: '"r1"',
    body: { fleetNumber: '7' },
  });
  const courier = await startCourier();
  await until(() => desk.receiver.events.length === 1);
  const closed = courier.close();
  await sleep(200);
  arrived({ status: 204 });
  await closed;
  expect((await desk.deliveries(endpoint.id)).map(({ eventType, state }) => [eventType, state])).toEqual([
    ['vehicle.changed', 'waiting'],
    ['vehicle.created', 'delivered'],
  ]);
  expect([desk.receiver.events.length, await leases()]).toEqual([1, 0]);
});

it('gives a message up that nobody answers when the process is stopped; another one sends it again', async () => {
  const endpoint = await desk.openEndpoint();
  desk.receiver.conduct = (message) =>
    message.event.type === 'webhook.consent' ? consenting(message) : 'silence';
  await desk.operator.vehicle(depotId, 'TVP 101');
  const courier = await startCourier();
  await until(() => desk.receiver.events.length === 1);
  await courier.close();
  expect(await leases()).toBe(0);
  expect(await desk.deliveries(endpoint.id)).toMatchObject([
    { state: 'waiting', failedAttempts: 0, attempts: [] },
  ]);
  desk.receiver.conduct = consenting;
  desk.pass(HOUR);
  await desk.deliver();
  expect(await desk.deliveries(endpoint.id)).toMatchObject([{ state: 'delivered' }]);
  expect(new Set(desk.receiver.events.map(({ id }) => id)).size).toBe(1);
});

it('takes over the turn of a worker that died', async () => {
  await desk.openEndpoint();
  await desk.operator.vehicle(depotId, 'TVP 101');
  // as a worker leaves it that was killed long enough ago, and one that may be alive
  const lease = `UPDATE app.turns SET lease = gen_random_uuid(), due_at = 'infinity', leased_until = now() +
    make_interval(secs => $2) WHERE organisation_id = $1`;
  await desk.sql(lease, [60]);
  const courier = await startCourier();
  await sleep(1_500);
  expect(desk.receiver.events).toEqual([]);
  await desk.sql(lease, [-1]);
  await until(() => desk.receiver.events.length === 1);
  await courier.close();
});
