import { randomUUID } from 'node:crypto';
import { setTimeout as sleep } from 'node:timers/promises';
import { CuttableProxy } from '../support/cuttable-proxy';
import { TwoApiProcesses, type Answer } from '../support/two-api-processes';
import { makeWorkshop, type WorkshopWorld } from '../support/workshop-world';

// draft-ietf-httpapi-idempotency-key-header-07: section 2.6 for repetitions while and after the first request runs.

jest.setTimeout(300_000);

interface Booking {
  id: string;
  type?: string;
}

let two: TwoApiProcesses;
let world: WorkshopWorld;
beforeAll(async () => {
  two = await TwoApiProcesses.start('Tarn Valley');
  world = await makeWorkshop(two, { bays: 2, technicians: 2, vehicles: 3 });
});
afterAll(() => two.stop());

const bookingOf = (vehicle: number, hour: number): object => ({
  vehicleId: world.vehicleIds[vehicle],
  workshopId: world.workshopId,
  startsAt: new Date((Math.floor(Date.now() / 3_600_000) + 24 + hour) * 3_600_000).toISOString(),
  dueItemKeys: [],
  extraWork: [{ title: 'Look it over', minutes: 60 }],
});

async function bookingsOf(vehicle: number): Promise<string[]> {
  const vehicleId = world.vehicleIds[vehicle] ?? '';
  const bookings = await two.all<{ id: string; vehicleId: string }>('/v1/bookings');
  return bookings.filter((booking) => booking.vehicleId === vehicleId).map(({ id }) => id);
}

/** Sends until the first request is over. */
async function settled(index: number, body: object, key: string): Promise<Answer<Booking>> {
  for (;;) {
    const headers = { 'idempotency-key': key };
    const answer = await two.send<Booking>(index, 'POST', '/v1/bookings', body, headers);
    if (answer.body.type !== '/problems/request-in-progress') return answer;
    await sleep(20);
  }
}

it('twenty at the same time, at two processes, make one booking, and all are told the same', async () => {
  const [key, body] = [randomUUID(), bookingOf(0, 0)];
  const answers = await Promise.all(Array.from({ length: 20 }, (_, client) => settled(client, body, key)));
  expect(answers.map(({ status }) => status)).toEqual(Array<number>(20).fill(201));
  expect(new Set(answers.map((answer) => JSON.stringify(answer.body))).size).toBe(1);
  expect(await bookingsOf(0)).toEqual([answers[0]?.body.id]);
});

it('a connection that is cut after the booking was made: the same request is told of it, at either process', async () => {
  const proxy = await CuttableProxy.to(two.apis[0]!.address);
  const [key, body] = [randomUUID(), bookingOf(1, 0)];
  proxy.cutWhenAnswered(key);
  const lost = fetch(proxy.reach(`${two.apis[0]!.address}/v1/bookings`), {
    method: 'POST',
    headers: {
      authorization: `Bearer ${two.organisation.administratorKey}`,
      'content-type': 'application/json',
      'idempotency-key': key,
    },
    body: JSON.stringify(body),
  });
  await expect(lost).rejects.toThrow();
  await proxy.close();
  // it was answered, so it had been committed
  const made = await bookingsOf(1);
  expect(made).toHaveLength(1);
  for (const index of [1, 0]) {
    const again = await settled(index, body, key);
    expect([again.status, again.body.id]).toEqual([201, made[0]]);
  }
  expect(await bookingsOf(1)).toEqual(made);
});

it('a process that is killed with the request in its hands: the same request makes the booking or is told of it', async () => {
  for (const [hour, patience] of [0, 5, 20, 60].entries()) {
    const [key, body] = [randomUUID(), bookingOf(2, 10 + 2 * hour)];
    const before = await bookingsOf(2);
    const broken = two
      .send<Booking>(0, 'POST', '/v1/bookings', body, { 'idempotency-key': key })
      // killed before it could answer
      .catch(() => null);
    await sleep(patience);
    await two.killAndRestart(0);
    const first = await broken;
    const again = await settled(1, body, key);
    expect(again.status).toBe(201);
    if (first !== null) expect(again.body).toEqual(first.body);
    expect(await settled(0, body, key)).toEqual(again);
    expect((await bookingsOf(2)).toSorted()).toEqual([...before, again.body.id].toSorted());
  }
});
