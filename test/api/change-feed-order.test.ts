import { setTimeout as sleep } from 'node:timers/promises';
import { Client } from 'pg';
import type { ChangeDto } from '../../src/modules/changes/dto/change.dto';
import { EventRetentionService } from '../../src/modules/changes/event-retention.service';
import { addKey } from '../support/api-client';
import { FeedReader } from '../support/feed-reader';
import { Operator } from '../support/operator';
import { send } from '../support/send';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

let test: TestApp;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 10_000_000 });
});
afterAll(() => test.close());

const keyOf = (operator: Operator): string => operator.organisation.administratorKey;
const reader = (key: string, query: Record<string, string> = {}): FeedReader =>
  new FeedReader(test, key, query);

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

  // a crash takes back what never reached the disk, and the server gives its numbers out again
  it('that was rolled back has moved no cursor', async () => {
    const operator = await Operator.of(test, 'An operator that takes back');
    const fleetId = await operator.fleet('Patient transport');
    const feed = reader(keyOf(operator));
    await feed.until(({ length }) => length === 1);
    const placeOf = ({ next }: FeedReader): unknown[] =>
      JSON.parse(Buffer.from(next?.split('.')[0] ?? '', 'base64url').toString()) as unknown[];
    const [event] = await operator.sql<{ xid: string; sequence: string }>(
      'SELECT xid, sequence FROM events WHERE organisation_id = $1',
      [operator.organisationId],
    );
    for (let turn = 0; turn < 3; turn++) {
      const client = await opened(operator);
      await change(client, operator, fleetId, 'never');
      await client.query('ROLLBACK');
      await client.end();
      await feed.page();
    }
    const now = await reader(keyOf(operator)).now();
    for (const each of [feed, now]) {
      expect(placeOf(each).slice(0, 2)).toEqual([event?.xid, event?.sequence]);
    }
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

// what is settled has to be judged by what the statement sees, not by what has been committed since it began
it('a statement that looks for what is settled does not count what it does not see', async () => {
  const operator = await Operator.of(test, 'An operator that looks twice');
  const clients = await Promise.all(
    Array.from({ length: 3 }, async () => {
      const client = new Client({ connectionString: test.database.ownerUrl });
      await client.connect();
      return client;
    }),
  );
  const [gate, writer, looking] = clients as [Client, Client, Client];
  try {
    await gate.query('SELECT pg_advisory_lock(4711)');
    await writer.query('BEGIN');
    const { rows: written } = await writer.query<{ xid: string }>(
      `INSERT INTO events (organisation_id, type, subject_type, subject_id, data)
        VALUES ($1, 'fleet.changed', 'fleet', $1, '{}') RETURNING xid`,
      [operator.organisationId],
    );
    const look = looking.query<{ settled: string }>(
      `WITH passed AS MATERIALIZED (SELECT pg_advisory_lock(4711)) SELECT app.settled_before() AS settled FROM passed`,
    );
    const isWaiting = async (): Promise<boolean> => {
      const { rows } = await gate.query(
        `SELECT FROM pg_locks WHERE locktype = 'advisory' AND objid = 4711 AND NOT granted
          AND database = (SELECT oid FROM pg_database WHERE datname = current_database())`,
      );
      return rows.length === 1;
    };
    while (!(await isWaiting())) await sleep(10);
    await writer.query('COMMIT');
    await gate.query('SELECT pg_advisory_unlock(4711)');
    const { rows: seen } = await look;
    expect(BigInt(seen[0]?.settled ?? '')).toBeLessThanOrEqual(BigInt(written[0]?.xid ?? ''));
  } finally {
    await Promise.all(clients.map((client) => client.end()));
  }
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

  it('does not grow old for a key that is shown nothing', async () => {
    const operator = await Operator.of(test, 'An operator with a quiet fleet');
    const quiet = await operator.fleet('Quiet');
    const key = await addKey(test, operator.organisation, 'dealer-system', [quiet]);
    const feed = reader(key);
    await feed.until(({ length }) => length === 1);
    await operator.fleet('Busy');
    await reader(keyOf(operator)).until(({ length }) => length === 2);
    // every hour, long before the events are old
    await forget(operator, TEST_NOW);
    expect(await feed.page()).toEqual([]);
    expect(await forget(operator, FAR)).toBe(2);
    expect(await feed.page()).toEqual([]);
    expect(await reader(key).now()).toMatchObject({ next: feed.next });
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
  async function become(history: string): Promise<void> {
    await operator.sql(
      `CREATE OR REPLACE FUNCTION app.server_history() RETURNS text LANGUAGE sql STABLE AS $$ SELECT '${history}' $$`,
    );
    // whoever talks to it has connected anew
    await operator.sql(
      `SELECT pg_terminate_backend(pid) FROM pg_stat_activity
        WHERE datname = current_database() AND pid <> pg_backend_pid()`,
    );
    const reconnected = async (): Promise<boolean> => {
      const asked = Array.from({ length: 10 }, () =>
        send(restored, 'GET', '/v1/fleets', { key: keyOf(operator) }),
      );
      return (await Promise.all(asked)).every(({ status }) => status === 200);
    };
    while (!(await reconnected())) await sleep(20);
  }

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
