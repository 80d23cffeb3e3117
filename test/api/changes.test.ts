import { setTimeout as sleep } from 'node:timers/promises';
import LinkHeader from 'http-link-header';
import { Client } from 'pg';
import { EventRetentionService } from '../../src/modules/changes/event-retention.service';
import { SettledWatch } from '../../src/modules/changes/settled-watch';
import { EVENT_TYPES } from '../../src/platform/audit/recorded-changes';
import { ChangeClock } from '../../src/platform/database/change-clock';
import type { ChangeDto } from '../../src/modules/changes/dto/change.dto';
import { asOwner } from '../support/api-client';
import { cloudEventFaults } from '../support/cloud-event-check';
import { FeedReader } from '../support/feed-reader';
import { Operator } from '../support/operator';
import { send, type Sent } from '../support/send';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';
import { buildWorld, type World } from '../support/world';

const FEED = '/v1/changes';

let test: TestApp;
let world: World;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 10_000_000 });
  world = await buildWorld(test, 'Tarn Valley Patient Transport');
});
afterAll(() => test.close());

const keyOf = (operator: Operator): string => operator.organisation.administratorKey;
const reader = (key: string, query: Record<string, string> = {}): FeedReader =>
  new FeedReader(test, key, query);

/** A statement as the owner, who sees everybody's rows: $1 is the organisation of the world. */
const ofWorld = <Row>(sql: string): Promise<Row[]> => {
  const { organisationId } = world.organisation;
  return asOwner<Row>(test, organisationId, sql, [organisationId]);
};

/** Everything there is to read with a key. */
async function all(key: string, query: Record<string, string> = {}): Promise<ChangeDto[]> {
  const [{ count } = { count: '' }] = await ofWorld<{ count: string }>(
    'SELECT count(*) FROM events WHERE organisation_id = $1',
  );
  await reader(world.organisation.administratorKey, { limit: '500' }).until(
    (read) => read.length === Number(count),
  );
  const feed = reader(key, { limit: '500', ...query });
  while ((await feed.page()).length > 0);
  return feed.read;
}

describe('what is told', () => {
  it('is each entry of the audit trail, in CloudEvents 1.0, by its own id and in its order', async () => {
    const read = await all(world.organisation.administratorKey);
    const entries = await ofWorld<{ id: string; type: string; subject: string }>(
      `SELECT id, subject_type || '.' || action AS type, subject_type || '/' || subject_id AS subject
        FROM audit_entries WHERE organisation_id = $1 ORDER BY xid, sequence`,
    );
    expect(entries.length).toBeGreaterThan(50);
    expect(read.map(({ id, type, subject }) => ({ id, type, subject }))).toEqual(entries);
    expect(read.flatMap(cloudEventFaults)).toEqual([]);
    expect(EVENT_TYPES).toEqual(expect.arrayContaining([...new Set(read.map(({ type }) => type))]));
    const source = `/v1/organisations/${world.organisation.organisationId}`;
    expect(new Set(read.map((event) => event.source))).toEqual(new Set([source]));
  });

  it('shows what changed as it is afterwards, and what was deleted as it was', async () => {
    const operator = await Operator.of(test, 'An operator that changes');
    const fleetId = await operator.fleet('Patient transport');
    const { id, revision, ...rest } = await operator.admin.ok<{ id: string; revision: number }>(
      'get',
      `/v1/fleets/${fleetId}`,
    );
    await operator.admin.ok('patch', `/v1/fleets/${fleetId}`, {
      body: { name: 'Day service' },
      ifMatch: `"r${revision}"`,
    });
    const vehicleId = await operator.vehicle(await operator.depot(fleetId, 'Upper Tarn'), 'TVP 1');
    const body = { fromOn: '2026-01-01', untilOn: '2026-01-03', reason: 'paint' };
    const periods = `/v1/vehicles/${vehicleId}/off-road-periods`;
    const period = await operator.admin.ok<{ id: string }>('post', periods, { body });
    await operator.admin.ok('delete', `/v1/off-road-periods/${period.id}`, { ifMatch: '"r1"' });
    const read = await reader(keyOf(operator)).until(({ length }) => length === 6);
    expect(read.map(({ type, fleetid, vehicleid }) => [type, fleetid, vehicleid])).toEqual([
      ['fleet.created', fleetId, undefined],
      ['fleet.changed', fleetId, undefined],
      ['depot.created', fleetId, undefined],
      ['vehicle.created', fleetId, vehicleId],
      ['off-road-period.created', fleetId, vehicleId],
      ['off-road-period.deleted', fleetId, vehicleId],
    ]);
    expect(read[0]?.data).toEqual({ id, revision, ...rest });
    expect(read[1]?.data).toMatchObject({ id: fleetId, name: 'Day service', revision: 2 });
    expect(read[5]?.data).toEqual(period);
  });

  it('names the fleet and the workshop of whatever belongs to one', async () => {
    const tables = await ofWorld<{ table: string; column: string }>(
      `SELECT table_name AS table, column_name AS column FROM information_schema.columns
        WHERE $1::uuid IS NOT NULL AND table_schema = 'public' AND column_name IN ('fleet_id', 'workshop_id')
          AND table_name NOT IN ('events', 'announced_states')
          AND table_name IN (SELECT table_name FROM information_schema.columns WHERE column_name = 'id')`,
    );
    let compared = 0;
    for (const { table, column } of tables) {
      const rows = await ofWorld<{ type: string; told: string | null; owner: string | null }>(
        `SELECT e.type, e.${column} AS told, t.${column} AS owner FROM events e
          JOIN ${table} t ON t.organisation_id = e.organisation_id AND t.id = e.subject_id
          WHERE e.organisation_id = $1`,
      );
      compared += rows.length;
      expect([table, column, rows.filter(({ told, owner }) => told !== owner)]).toEqual([table, column, []]);
    }
    expect(compared).toBeGreaterThan(50);
    // what hangs on a depot or is one of the two itself
    const unplaced = await ofWorld<{ type: string }>(
      `SELECT DISTINCT type FROM events
        WHERE organisation_id = $1 AND fleet_id IS NULL AND workshop_id IS NULL AND subject_type IN
        ('fleet', 'depot', 'roster', 'workshop-reach', 'downtime-plan', 'workshop', 'bay', 'technician')`,
    );
    expect(unplaced).toEqual([]);
  });
});

describe('who is told', () => {
  it('a key of some fleets, of these alone', async () => {
    const { id, planner, administrator } = world.otherFleet;
    const everything = await all(world.organisation.administratorKey);
    const ofFleet = everything.filter(({ fleetid }) => fleetid === id);
    expect(ofFleet.length).toBeGreaterThan(2);
    for (const key of [planner, administrator]) expect(await all(key)).toEqual(ofFleet);
  });

  it('a key of some workshops, of no other workshop', async () => {
    const administrator = { key: world.organisation.administratorKey };
    const workshop = { name: 'Down the valley', zone: 'Europe/London', weeklyHours: [] };
    const other = await send(test, 'POST', '/v1/workshops', { ...administrator, body: workshop });
    const made = await send(test, 'POST', '/v1/api-keys', {
      ...administrator,
      body: { name: 'one counter', role: 'front-desk', workshopIds: [world.ids.workshopId] },
    });
    const everything = await all(administrator.key);
    const told = await all(String(made.body.key));
    const elsewhere = everything.filter(
      ({ workshopid = world.ids.workshopId }) => workshopid !== world.ids.workshopId,
    );
    expect(elsewhere.map(({ subject }) => subject)).toContain(`workshop/${String(other.body.id)}`);
    expect(told).toEqual(
      everything.filter((event) => !event.type.startsWith('api-key.') && !elsewhere.includes(event)),
    );
    expect(told.some(({ workshopid }) => workshopid === world.ids.workshopId)).toBe(true);
  });

  it('only administrators, of keys', async () => {
    const everything = await all(world.organisation.administratorKey);
    const isOfKey = ({ type }: ChangeDto): boolean => type.startsWith('api-key.');
    expect(everything.some(isOfKey)).toBe(true);
    for (const role of ['technician', 'dealer-system'] as const) {
      expect(await all(world.keys[role])).toEqual(everything.filter((event) => !isOfKey(event)));
    }
  });
});

describe('the cursor', () => {
  let operator: Operator;
  beforeAll(async () => {
    operator = await Operator.of(test, 'An operator with some fleets');
    for (const name of ['one', 'two', 'three', 'four', 'five']) await operator.fleet(name);
    await reader(keyOf(operator)).until(({ length }) => length === 5);
  });

  const names = (events: ChangeDto[]): unknown[] => events.map(({ data }) => data.name);

  it.each(['1', '2', '5', '500'])('pages of %s tell the same', async (limit) => {
    const feed = reader(keyOf(operator), { limit });
    while ((await feed.page()).length > 0);
    expect(names(feed.read)).toEqual(['one', 'two', 'three', 'four', 'five']);
  });

  it('is there after an empty page too, in the body and as a link', async () => {
    const feed = await reader(keyOf(operator)).now();
    const before = feed.next;
    expect(before).toMatch(/^[\w-]+\.[\w-]+$/);
    const answer = await feed.ask({ limit: '7' });
    expect(answer.body).toEqual({ items: [], next: expect.any(String) as string });
    const [link] = LinkHeader.parse(answer.headers.link ?? '').refs;
    expect(link?.rel).toBe('next');
    const url = new URL(link?.uri ?? '', 'http://x');
    expect(Object.fromEntries(url.searchParams)).toEqual({ limit: '7', after: answer.body.next });
    expect(url.pathname).toBe(FEED);
    await operator.fleet('six');
    expect(names(await feed.until(({ length }) => length === 1))).toEqual(['six']);
  });

  it('passes over what is not asked for', async () => {
    const feed = await reader(keyOf(operator), { types: 'depot.created,fleet.changed' }).now();
    const fleetId = await operator.fleet('seven');
    const depotId = await operator.depot(fleetId, 'Lower Tarn');
    await operator.fleet('eight');
    const read = await feed.until(({ length }) => length === 1);
    expect(read.map(({ type, subject }) => [type, subject])).toEqual([['depot.created', `depot/${depotId}`]]);
  });

  it.each<[string, string]>([
    ['after=made.up', 'after'],
    ['after=', 'after'],
    ['limit=0', 'limit'],
    ['limit=501', 'limit'],
    ['wait=31', 'wait'],
    ['wait=-1', 'wait'],
    ['wait=soon', 'wait'],
    ['types=vehicle.exploded', 'types'],
    ['cursor=abc', 'cursor'],
  ])('%s is refused with its name', async (query, parameter) => {
    const { status, body } = await send(test, 'GET', `${FEED}?${query}`, { key: keyOf(operator) });
    const errors = body.errors as { parameter: string; detail: string; remedy: string }[];
    expect([status, [...new Set(errors.map((error) => error.parameter))]]).toEqual([422, [parameter]]);
    expect(errors[0]?.remedy).not.toBe('');
  });

  it('of another operator is refused', async () => {
    const theirs = await reader(world.organisation.administratorKey).now();
    const feed = reader(keyOf(operator));
    feed.next = theirs.next;
    expect(await feed.ask()).toMatchObject({ status: 422, body: { errors: [{ parameter: 'after' }] } });
  });
});

describe('an open transaction', () => {
  async function opened(operator: Operator): Promise<Client> {
    const client = new Client({ connectionString: test.database.ownerUrl });
    await client.connect();
    await client.query('BEGIN');
    await client.query(`SELECT set_config('app.organisation_id', $1, true)`, [operator.organisationId]);
    return client;
  }
  const change = (client: Client, operator: Operator, fleetId: string, note: string): Promise<unknown> =>
    client.query(
      `INSERT INTO events (organisation_id, type, subject_type, subject_id, fleet_id, data)
        VALUES ($1, 'fleet.changed', 'fleet', $2, $2, $3)`,
      [operator.organisationId, fleetId, { note }],
    );
  const notes = (read: readonly ChangeDto[]): unknown[] => read.map(({ data }) => data.note);

  it('holds back what was recorded after it began, and is not passed over', async () => {
    const operator = await Operator.of(test, 'An operator with a slow writer');
    const fleetId = await operator.fleet('Patient transport');
    const feed = reader(keyOf(operator));
    await feed.until(({ length }) => length === 1);
    const slow = await opened(operator);
    await change(slow, operator, fleetId, 'slow');
    await operator.sql(
      `INSERT INTO events (organisation_id, type, subject_type, subject_id, data) VALUES ($1, 'fleet.changed', 'fleet', $2, '{"note": "quick"}')`,
      [operator.organisationId, fleetId],
    );
    for (let look = 0; look < 3; look++) expect(await feed.page()).toEqual([]);
    const metrics = await send(test, 'GET', '/metrics');
    expect(Number(/^precharge_feed_unsettled_events (\d+)$/m.exec(metrics.text)?.[1])).toBeGreaterThan(0);
    expect(metrics.text).toMatch(/^precharge_feed_unsettled_seconds \d/m);
    await slow.query('COMMIT');
    await slow.end();
    expect(notes((await feed.until(({ length }) => length === 3)).slice(1))).toEqual(['slow', 'quick']);
  });

  // the transaction that has the smaller number waits for the other one's lock, and so changes the fleet after it
  it('that waited for another one is told after it', async () => {
    const operator = await Operator.of(test, 'An operator with two writers');
    const first = await operator.fleet('one');
    const second = await operator.fleet('two');
    const feed = reader(keyOf(operator));
    await feed.until(({ length }) => length === 2);
    const lock = `SELECT id FROM fleets WHERE id = $1 FOR NO KEY UPDATE`;
    const [early, late] = [await opened(operator), await opened(operator)];
    await early.query(lock, [first]);
    await late.query(lock, [second]);
    const waiting = early.query(lock, [second]).then(() => change(early, operator, second, 'afterwards'));
    await change(late, operator, second, 'before');
    await late.query('COMMIT');
    await waiting;
    await early.query('COMMIT');
    await Promise.all([early.end(), late.end()]);
    expect(notes((await feed.until(({ length }) => length === 4)).slice(2))).toEqual([
      'before',
      'afterwards',
    ]);
  });
});

describe('waiting', () => {
  it('ends when something was recorded', async () => {
    const operator = await Operator.of(test, 'An operator that is waited for');
    const feed = await reader(keyOf(operator)).now();
    const waiting = feed.page({ wait: '30' });
    await operator.fleet('Patient transport');
    expect((await waiting).map(({ type }) => type)).toEqual(['fleet.created']);
  });

  it('is woken, not only ended by the clock', async () => {
    const operator = await Operator.of(test, 'An operator that wakes');
    const settled = await test.app.get(ChangeClock).settledBefore();
    // longer than a test may take
    const woken = test.app.get(SettledWatch).moved(settled, 600_000, new AbortController().signal);
    await operator.fleet('Patient transport');
    await woken;
  });

  it('ends without anything when its time is over, with a cursor to go on with', async () => {
    const operator = await Operator.of(test, 'A quiet operator');
    const feed = await reader(keyOf(operator)).now();
    expect(await feed.page({ wait: '1' })).toEqual([]);
    await operator.fleet('Patient transport');
    expect(await feed.until(({ length }) => length === 1)).toHaveLength(1);
  });

  it('ends when the reader is gone, and when the process ends', async () => {
    const beside = await startTestApp({}, { beside: test });
    const watch = beside.app.get(SettledWatch);
    const wait = (signal: AbortSignal): Promise<void> => watch.moved('', 600_000, signal);
    jest.spyOn(beside.app.get(ChangeClock), 'settledBefore').mockResolvedValue('');
    const gone = new AbortController();
    const [first, second] = [wait(gone.signal), wait(new AbortController().signal)];
    gone.abort();
    await first;
    expect(watch.count).toBe(1);
    await beside.close();
    await second;
    await wait(new AbortController().signal);
  });

  it('is for ten requests of a key at a time; more are answered at once', async () => {
    const operator = await Operator.of(test, 'An impatient operator');
    let pending = 0;
    const ask = async (): Promise<Sent> => {
      const feed = await reader(keyOf(operator)).now();
      pending += 1;
      const answer = await feed.ask({ wait: '30' });
      pending -= 1;
      return answer;
    };
    const ten = Array.from({ length: 10 }, ask);
    while (test.app.get(SettledWatch).count < 10) await sleep(10);
    expect(await ask()).toMatchObject({ status: 200, body: { items: [] } });
    expect(pending).toBe(10);
    await operator.fleet('Patient transport');
    for (const { body } of await Promise.all(ten)) expect(body.items).toHaveLength(1);
  });
});

describe('what is no longer kept', () => {
  const FAR = Date.parse('2999-01-01T00:00:00Z');
  const forget = async (operator: Operator, now: number): Promise<number> => {
    test.setNow(now);
    try {
      return await test.app.get(EventRetentionService).forget(operator.organisationId);
    } finally {
      test.setNow(TEST_NOW);
    }
  };

  it('is answered 410, with what to do, to whoever has not read all of it', async () => {
    const operator = await Operator.of(test, 'An operator with a past');
    for (const name of ['one', 'two', 'three']) await operator.fleet(name);
    const [slow, idle] = [reader(keyOf(operator), { limit: '1' }), reader(keyOf(operator))];
    await slow.until(({ length }) => length === 1);
    await idle.until(({ length }) => length === 3);
    expect(await forget(operator, TEST_NOW)).toBe(0);
    expect(await forget(operator, FAR)).toBe(3);
    await operator.fleet('four');

    const answer = await slow.ask();
    expect(answer).toMatchObject({ status: 410, body: { type: '/problems/no-longer-kept' } });
    const [error] = answer.body.errors as { parameter: string; remedy: string }[];
    expect(error?.parameter).toBe('after');
    expect(error?.remedy).toContain('after=now');
    // who has read everything, and who begins, goes on
    const names = ({ read }: FeedReader): unknown[] => read.slice(-1).map(({ data }) => data.name);
    await idle.until(({ length }) => length === 4);
    const fresh = reader(keyOf(operator));
    await fresh.until(({ length }) => length === 1);
    expect([names(idle), names(fresh)]).toEqual([['four'], ['four']]);
  });

  it('leaves the audit trail as it is, and other operators alone', async () => {
    const operator = await Operator.of(test, 'An operator with records');
    const other = await Operator.of(test, 'Its neighbour');
    await Promise.all([operator.fleet('one'), other.fleet('one')]);
    const entries = (): Promise<unknown[]> =>
      operator.sql('SELECT * FROM audit_entries WHERE organisation_id = $1 ORDER BY id', [
        operator.organisationId,
      ]);
    const before = await entries();
    expect(await forget(operator, FAR)).toBe(1);
    expect(await entries()).toEqual(before);
    expect(await reader(keyOf(other)).until(({ length }) => length === 1)).toHaveLength(1);
  });

  it('does not grow old for whoever keeps asking and finds nothing', async () => {
    const operator = await Operator.of(test, 'An operator of many fleets');
    const feed = reader(keyOf(operator), { types: 'booking.booked' });
    await feed.page();
    await operator.fleet('one');
    await reader(keyOf(operator)).until(({ length }) => length === 1);
    await feed.page();
    expect(await forget(operator, FAR)).toBe(1);
    expect(await feed.page()).toEqual([]);
  });
});

describe('after a restore', () => {
  let restored: TestApp;
  let operator: Operator;
  let feed: FeedReader;

  /** Makes the server write another history, as one does into which a dump was read or that took over. */
  const become = (history: string): Promise<unknown> =>
    operator.sql(
      `CREATE OR REPLACE FUNCTION app.server_history() RETURNS text LANGUAGE sql STABLE AS $$ SELECT '${history}' $$`,
    );

  beforeAll(async () => {
    restored = await startTestApp();
    operator = await Operator.of(restored, 'Tarn Valley Patient Transport');
    feed = new FeedReader(restored, keyOf(operator), { limit: '2' });
  });
  afterAll(() => restored.close());

  it('every cursor goes on, and what is recorded now comes after what was recorded before', async () => {
    for (const name of ['one', 'two', 'three']) await operator.fleet(name);
    await feed.until(({ length }) => length >= 2);
    // the former server had counted far more transactions
    await operator.sql('UPDATE events SET xid = xid + 1000000000');
    await become('another/00000001');
    await operator.fleet('four');
    const fresh = new FeedReader(restored, keyOf(operator), { limit: '2' });
    const read = await fresh.until(({ length }) => length === 4);
    expect(read.map(({ data }) => data.name)).toEqual(['one', 'two', 'three', 'four']);
    await become('another/00000002');
    await operator.fleet('five');
    expect((await fresh.until(({ length }) => length === 5)).at(-1)?.data.name).toBe('five');
    const numbers = await operator.sql<{ number: string }>(
      'SELECT DISTINCT (xid >> 48)::text AS number FROM events ORDER BY 1',
    );
    expect(numbers.map(({ number }) => number)).toEqual(['0', '1', '2']);
    feed = fresh;
  });

  it('to an older state, a cursor that counts what is gone is answered 410', async () => {
    await operator.sql('DELETE FROM app.histories WHERE number = 2');
    await operator.sql('DELETE FROM events WHERE xid >> 48 = 2');
    await become('third/00000001');
    expect(await feed.ask()).toMatchObject({ status: 410, body: { type: '/problems/no-longer-kept' } });
    await operator.fleet('five again');
    expect(await feed.ask()).toMatchObject({ status: 410 });
    const fresh = new FeedReader(restored, keyOf(operator));
    const read = await fresh.until(({ length }) => length === 5);
    expect(read.at(-1)?.data.name).toBe('five again');
  });
});
