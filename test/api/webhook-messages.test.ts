import { startTestApp, type TestApp } from '../support/test-app';
import { WebhookDesk, type DeliveryShown } from '../support/webhook-desk';
import { consenting, type ReceivedMessage } from '../support/webhook-receiver';

const HOUR = 3_600_000;

let test: TestApp;
let desk: WebhookDesk;
let depotId: string;
let fleetId: string;

beforeAll(async () => {
  test = await startTestApp({ webhookToLoopback: true, webhookTimeoutMs: 5_000 });
});
afterAll(() => test.close());
beforeEach(async () => {
  desk = await WebhookDesk.open(test, 'Tarn Valley Patient Transport');
  fleetId = await desk.operator.fleet('Patient transport');
  depotId = await desk.operator.depot(fleetId, 'Upper Tarn');
});
afterEach(() => desk.close());

const typesOf = (messages: ReceivedMessage[]): string[] => messages.map(({ event }) => event.type);
const path = ({ id }: { id: string }, rest = ''): string => `/v1/webhook-endpoints/${id}${rest}`;

describe('what an endpoint is told of', () => {
  it('is of the types that it names', async () => {
    await desk.openEndpoint({ eventTypes: ['vehicle.changed'] });
    const vehicleId = await desk.operator.vehicle(depotId, 'TVP 101');
    const vehicle = `/v1/vehicles/${vehicleId}`;
    await desk.operator.admin.ok('patch', vehicle, { ifMatch: '"r1"', body: { fleetNumber: '17' } });
    await desk.deliverAll();
    expect(typesOf(desk.receiver.events)).toEqual(['vehicle.changed']);
  });

  it('is never what only administrators may know', async () => {
    await desk.openEndpoint();
    await desk.operator.admin.ok('post', '/v1/api-keys', { body: { name: 'ramp', role: 'technician' } });
    await desk.operator.fleet('School runs');
    await desk.deliverAll();
    expect(typesOf(desk.receiver.events)).toEqual(['fleet.created']);
    for (const type of ['api-key.created', 'webhook-endpoint.changed', 'webhook.consent', 'vehicle'])
      expect(
        await desk.operator.admin.refused('post', '/v1/webhook-endpoints', {
          body: { url: desk.receiver.url, eventTypes: [type] },
        }),
      ).toEqual([422, '#/eventTypes']);
  });

  it('is of the fleets that it is limited to, and of nothing that concerns others or all', async () => {
    const otherFleetId = await desk.operator.fleet('School runs');
    const otherDepotId = await desk.operator.depot(otherFleetId, 'Lower Tarn');
    await desk.openEndpoint({ fleetIds: [otherFleetId] });
    await desk.operator.vehicle(depotId, 'TVP 101');
    const vehicleId = await desk.operator.vehicle(otherDepotId, 'TVP 201');
    await desk.operator.admin.ok('patch', '/v1/organisation', {
      ifMatch: '"r1"',
      body: { name: 'Tarn Valley' },
    });
    await desk.deliverAll();
    expect(desk.receiver.events.map(({ event }) => [event.type, event.vehicleid])).toEqual([
      ['vehicle.created', vehicleId],
    ]);
  });
});

describe('sending again', () => {
  /** Ten attempts that fail, over the three days that they take. */
  async function letDie(): Promise<void> {
    desk.receiver.conduct = (message) =>
      message.event.type === 'webhook.consent' ? consenting(message) : { status: 500, body: 'no \0 room' };
    for (let attempt = 1; attempt <= 10; attempt++) {
      const before = desk.receiver.events.length;
      await desk.deliverUntil(() => desk.receiver.events.length > before);
      desk.pass(30 * HOUR);
      // an endpoint that takes nothing for five days would be given up
      await desk.sql(`UPDATE webhook_endpoints SET failing_since = NULL WHERE organisation_id = $1`);
    }
  }

  it('one that died, as it was, with the attempts before', async () => {
    const endpoint = await desk.openEndpoint();
    await desk.operator.vehicle(depotId, 'TVP 101');
    await letDie();
    await desk.deliver();
    expect(desk.receiver.events).toHaveLength(10);
    const [dead] = await desk.deliveries(endpoint.id, '&state=dead');
    expect(dead).toMatchObject({
      state: 'dead',
      failedAttempts: 10,
      nextAttemptAt: null,
      settledAt: expect.any(String) as string,
    });
    expect(dead?.attempts).toHaveLength(10);
    expect(dead?.attempts[0]).toMatchObject({ status: 500, answer: 'no \uFFFD room' });

    desk.receiver.conduct = consenting;
    const replayed = await desk.operator.admin.ok<DeliveryShown>(
      'post',
      path(endpoint, `/deliveries/${dead!.id}/replay`),
    );
    expect(replayed).toMatchObject({ id: dead!.id, state: 'waiting', failedAttempts: 0, settledAt: null });
    expect(
      await desk.operator.admin.refused('post', path(endpoint, `/deliveries/${dead!.id}/replay`)),
    ).toEqual([409]);
    await desk.deliver();
    expect(new Set(desk.receiver.events.map(({ id }) => id)).size).toBe(1);
    expect(new Set(desk.receiver.events.map(({ body }) => body)).size).toBe(1);
    expect(await desk.deliveries(endpoint.id)).toMatchObject([
      { state: 'delivered', attempts: { length: 11 } },
    ]);
    // a delivered one too
    await desk.operator.admin.ok('post', path(endpoint, `/deliveries/${dead!.id}/replay`));
    await desk.deliver();
    expect(desk.receiver.events).toHaveLength(12);
  });

  it('all that died', async () => {
    const endpoint = await desk.openEndpoint();
    for (const mark of ['TVP 101', 'TVP 102', 'TVP 103']) await desk.operator.vehicle(depotId, mark);
    await desk.deliverAll();
    await desk.sql(`UPDATE webhook_deliveries SET state = 'dead' WHERE organisation_id = $1`);
    const before = desk.receiver.events.length;
    expect(await desk.operator.admin.ok('post', path(endpoint, '/replay-dead-letters'))).toEqual({
      replayed: 3,
    });
    expect(await desk.operator.admin.ok('post', path(endpoint, '/replay-dead-letters'))).toEqual({
      replayed: 0,
    });
    await desk.deliver();
    expect(desk.receiver.events).toHaveLength(before + 3);
    expect(await desk.deliveries(endpoint.id, '&state=delivered')).toHaveLength(3);
  });

  it('everything since a moment, delivered or not, and from before the endpoint was there', async () => {
    const early = await desk.operator.vehicle(depotId, 'TVP 101');
    const endpoint = await desk.openEndpoint();
    const late = await desk.operator.vehicle(depotId, 'TVP 102');
    await desk.deliverUntil(() => desk.receiver.events.length === 1);
    expect(desk.receiver.events[0]?.event.vehicleid).toBe(late);

    // events are recorded by the clock of the database
    const [first] = await desk.sql<{ at: Date }>(
      `SELECT recorded_at AS at FROM events WHERE organisation_id = $1 AND vehicle_id = $2`,
      [early],
    );
    test.setNow(Date.now());
    const since = first!.at.toISOString();
    expect(await desk.operator.admin.ok('post', path(endpoint, '/replay'), { body: { since } })).toEqual({
      since,
      firstRecordedAt: since,
    });
    await desk.deliverUntil(() => desk.receiver.events.length === 3);
    expect(desk.receiver.events.slice(1).map(({ event }) => event.vehicleid)).toEqual([early, late]);
    expect(desk.receiver.events[2]?.id).toBe(desk.receiver.events[0]?.id);
    const future = new Date(Date.now() + HOUR).toISOString();
    expect(
      await desk.operator.admin.refused('post', path(endpoint, '/replay'), { body: { since: future } }),
    ).toEqual([422, '#/since']);
  });
});

describe('events that are not kept any more', () => {
  it('are missed openly by an endpoint that did not come to them', async () => {
    const endpoint = await desk.openEndpoint();
    await desk.change(endpoint.id, { enabled: false });
    await desk.operator.vehicle(depotId, 'TVP 101');
    await desk.sql(
      `INSERT INTO event_horizons (organisation_id, xid, sequence, settled_before)
        SELECT organisation_id, xid, sequence, 0 FROM events
        WHERE organisation_id = $1 ORDER BY xid DESC, sequence DESC LIMIT 1`,
    );
    await desk.sql(`DELETE FROM events WHERE organisation_id = $1`);
    await desk.change(endpoint.id, { enabled: true });
    await desk.deliverUntil(async () => (await desk.endpoint(endpoint.id)).eventsLostAt !== null);
    expect(desk.receiver.events).toEqual([]);
    const noticed = await desk.endpoint(endpoint.id);
    await desk.deliver();
    expect(await desk.endpoint(endpoint.id)).toEqual(noticed);
  });

  it('are given up where they waited for their turn', async () => {
    const endpoint = await desk.openEndpoint();
    desk.receiver.conduct = () => ({ status: 500 });
    await desk.operator.vehicle(depotId, 'TVP 101');
    await desk.deliverUntil(() => desk.receiver.events.length > 0);
    await desk.sql(`DELETE FROM events WHERE organisation_id = $1`);
    desk.pass(HOUR);
    await desk.deliver();
    expect(await desk.deliveries(endpoint.id)).toMatchObject([
      { state: 'dead', attempts: [{ status: 500 }, { status: null, failure: 'event-no-longer-kept' }] },
    ]);
    expect(desk.receiver.events).toHaveLength(1);
  });
});

describe('the log of deliveries', () => {
  it('tells why there was no answer', async () => {
    const endpoint = await desk.openEndpoint();
    await desk.operator.vehicle(depotId, 'TVP 101');
    const conducts = ['cut-before', 'cut-within', 'silence'] as const;
    for (const [n, conduct] of conducts.entries()) {
      desk.receiver.conduct = () => conduct;
      await desk.deliverUntil(() => desk.receiver.events.length > n);
      desk.pass(10 * HOUR);
    }
    desk.receiver.stop();
    await desk.deliver();
    const [delivery] = await desk.deliveries(endpoint.id, '&state=waiting');
    expect(delivery?.attempts.map(({ failure }) => failure)).toEqual([
      'cut',
      'cut',
      'timeout',
      'no-connection',
    ]);
    expect(delivery?.attempts.every(({ detail, answer }) => detail !== null && answer === null)).toBe(true);
  });

  it('keeps the beginning of long answers, and the latest twenty attempts', async () => {
    const endpoint = await desk.openEndpoint();
    desk.receiver.conduct = () => ({ status: 500, body: 'ä'.repeat(40_000) });
    await desk.operator.vehicle(depotId, 'TVP 101');
    await desk.deliverUntil(() => desk.receiver.events.length > 0);
    await desk.sql(
      `UPDATE webhook_deliveries SET attempts = (SELECT jsonb_agg(attempts -> 0 || jsonb_build_object('durationMs', n))
        FROM generate_series(1, 20) n) WHERE organisation_id = $1`,
    );
    desk.pass(HOUR);
    await desk.deliver();
    const [delivery] = await desk.deliveries(endpoint.id);
    expect(delivery?.attempts).toHaveLength(20);
    expect(delivery?.attempts[0]?.durationMs).toBe(2);
    expect(delivery?.attempts[19]?.answer).toBe('ä'.repeat(500));
  });

  it('forgets what was settled more than thirty days ago', async () => {
    const endpoint = await desk.openEndpoint();
    await desk.operator.vehicle(depotId, 'TVP 101');
    await desk.deliverUntil(() => desk.receiver.events.length > 0);
    desk.pass(30 * 24 * HOUR - 1);
    await desk.deliver();
    expect(await desk.deliveries(endpoint.id)).toHaveLength(1);
    desk.pass(2);
    await desk.deliver();
    expect(await desk.deliveries(endpoint.id)).toEqual([]);
  });

  it('is counted for whoever watches the service', async () => {
    const endpoint = await desk.openEndpoint();
    const metric = async (name: string): Promise<number> => {
      const { payload } = await test.app.getHttpAdapter().getInstance().inject('/metrics');
      return Number(
        payload
          .split('\n')
          .find((line) => line.startsWith(`${name} `))
          ?.slice(name.length + 1),
      );
    };
    const before = await metric('precharge_webhook_attempts_total{outcome="failed"}');
    const waiting = await metric('precharge_webhook_deliveries_waiting');
    desk.receiver.conduct = () => ({ status: 500 });
    await desk.operator.vehicle(depotId, 'TVP 101');
    await desk.deliverUntil(() => desk.receiver.events.length > 0);
    expect(await metric('precharge_webhook_attempts_total{outcome="failed"}')).toBe(before + 1);
    expect(await metric('precharge_webhook_deliveries_waiting')).toBe(waiting + 1);
    desk.receiver.conduct = consenting;
    desk.pass(HOUR);
    await desk.deliver();
    expect(await metric('precharge_webhook_deliveries_waiting')).toBe(waiting);
    expect((await desk.deliveries(endpoint.id))[0]?.state).toBe('delivered');
  });
});
