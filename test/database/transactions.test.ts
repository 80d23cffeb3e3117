import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { connect } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import request from 'supertest';
import { DataSource } from 'typeorm';
import { isConnectionError } from '../../src/platform/database/connection-errors';
import { Transactions, type Tx } from '../../src/platform/database/transactions';
import { bodyError } from '../../src/platform/errors/coded-error';
import { parseApiKey } from '../../src/platform/security/api-key-token';
import { systemPrincipal, type Principal } from '../../src/platform/security/principal';
import { addKey, asOwner } from '../support/api-client';
import { startTestApp, type TestApp } from '../support/test-app';

let test: TestApp;
let transactions: Transactions;
let system: Principal;
let organisationId: string;
let administratorKey: string;
let principal: Principal;

beforeAll(async () => {
  test = await startTestApp();
  ({ organisationId, administratorKey } = await test.organisation('Tarn Valley'));
  transactions = test.app.get(Transactions);
  system = systemPrincipal(organisationId, 'test');
  principal = { ...system, actorId: parseApiKey(administratorKey)!.apiKeyId };
});
afterAll(() => test.close());

const sql = <Row>(text: string, parameters: unknown[] = []): Promise<Row[]> =>
  asOwner<Row>(test, organisationId, text, parameters);

async function addFleet(tx: Tx, name: string): Promise<string> {
  const [row] = await tx.query<[{ id: string }]>(
    'INSERT INTO fleets (organisation_id, name) VALUES ($1, $2) RETURNING id',
    [organisationId, name],
  );
  return row.id;
}

async function fleetsNamed(name: string): Promise<number> {
  return (await sql('SELECT FROM fleets WHERE organisation_id = $1 AND name = $2', [organisationId, name]))
    .length;
}

const append = (tx: Tx, id: string, text: string): Promise<unknown> =>
  tx.query('UPDATE fleets SET name = name || $2 WHERE id = $1', [id, text]);

const nameOf = async (id: string): Promise<string> =>
  (await sql<{ name: string }>('SELECT name FROM fleets WHERE id = $1', [id]))[0]!.name;

/** Answers once `count` callers have arrived. */
function meeting(count: number): () => Promise<void> {
  let arrived = 0;
  let open: () => void = () => undefined;
  const all = new Promise<void>((resolve) => {
    open = resolve;
  });
  return () => {
    arrived += 1;
    if (arrived === count) open();
    return all;
  };
}

const raise = (state: string): string =>
  `DO $$ BEGIN RAISE EXCEPTION 'provoked' USING ERRCODE = '${state}'; END $$`;

/** Sessions of the application that are in the middle of a transaction although nobody works in one. */
async function leftOpen(): Promise<number> {
  const [row] = await sql<{ count: string }>(
    `SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND application_name = 'precharge'
      AND state LIKE 'idle in transaction%'`,
  );
  return Number(row!.count);
}

describe('a snapshot', () => {
  const all = { sql: `SELECT name FROM fleets WHERE name = 'In the snapshot'`, parameters: [] };
  const seenBy = async (reader: Principal): Promise<number[]> => [
    (await transactions.readRows(reader, all)).length,
    (await transactions.read(reader, (tx) => tx.query<unknown[]>(all.sql))).length,
  ];

  it('shows everything as it was when it began, however it is read', async () => {
    const during = await transactions.snapshot(principal, async (reader) => {
      const before = await seenBy(reader);
      await transactions.run(principal, (tx) => addFleet(tx, 'In the snapshot'));
      // who is not its reader sees the data of the moment
      return [before, await seenBy(reader), await seenBy(principal)];
    });
    expect(during).toEqual([
      [0, 0],
      [0, 0],
      [1, 1],
    ]);
    expect(await leftOpen()).toBe(0);
  });

  it('cannot be written in, and ends with its work', async () => {
    const readers: Principal[] = [];
    const writing = transactions.snapshot(principal, (reader) => {
      readers.push(reader);
      return transactions.read(reader, (tx) => addFleet(tx, 'Never written'));
    });
    // SQLSTATE 25006: read_only_sql_transaction
    await expect(writing).rejects.toMatchObject({ driverError: { code: '25006' } });
    expect(await fleetsNamed('Never written')).toBe(0);
    expect(await leftOpen()).toBe(0);
    // whoever kept its reader reads in transactions of their own
    const later = await transactions.read(readers[0] ?? system, (tx) =>
      tx.query<unknown[]>('SELECT 1 AS one'),
    );
    expect([readers.length, later]).toEqual([1, [{ one: 1 }]]);
  });

  it('is not begun with a key that has been revoked', async () => {
    const stranger = { ...principal, actorId: randomUUID() };
    await expect(transactions.snapshot(stranger, () => Promise.resolve())).rejects.toMatchObject({
      code: 'key-not-valid',
    });
  });
});

describe('a transaction that lost against another one', () => {
  it('is repeated as a whole after a real deadlock', async () => {
    const ids = await transactions.run(system, async (tx) => [
      await addFleet(tx, 'left'),
      await addFleet(tx, 'right'),
    ]);
    const bothHoldTheirFirst = meeting(2);
    let attempts = 0;
    const transfer = (first: string, second: string, mark: string): Promise<string> =>
      transactions.run(system, async (tx) => {
        attempts += 1;
        const attempt = attempts;
        await append(tx, first, mark);
        if (attempt <= 2) await bothHoldTheirFirst();
        await append(tx, second, mark);
        return mark;
      });
    const done = await Promise.all([transfer(ids[0]!, ids[1]!, ' a'), transfer(ids[1]!, ids[0]!, ' b')]);
    expect(done).toEqual([' a', ' b']);
    expect(attempts).toBe(3);
    // each effect is there exactly once
    expect(['left a b', 'left b a']).toContain(await nameOf(ids[0]!));
    expect(['right a b', 'right b a']).toContain(await nameOf(ids[1]!));
  });

  it('is repeated as a whole after a real serialization failure', async () => {
    const serializable = await new DataSource({
      type: 'postgres',
      url: test.database.appUrl,
      installExtensions: false,
      extra: { options: '-c default_transaction_isolation=serializable' },
    }).initialize();
    try {
      const strict = new Transactions(serializable);
      const id = await transactions.run(system, (tx) => addFleet(tx, 'counted'));
      const bothHaveRead = meeting(2);
      let attempts = 0;
      const readThenWrite = (mark: string): Promise<void> =>
        strict.run(system, async (tx) => {
          attempts += 1;
          const attempt = attempts;
          const [row] = await tx.query<[{ name: string }]>('SELECT name FROM fleets WHERE id = $1', [id]);
          if (attempt <= 2) await bothHaveRead();
          await tx.query('UPDATE fleets SET name = $2 WHERE id = $1', [id, row.name + mark]);
        });
      await Promise.all([readThenWrite(' a'), readThenWrite(' b')]);
      expect(attempts).toBeGreaterThanOrEqual(3);
      // without the repetition one of the two would have overwritten the other
      expect(['counted a b', 'counted b a']).toContain(await nameOf(id));
    } finally {
      await serializable.destroy();
    }
  });

  // 40001 is "serialization failure", 40P01 "deadlock detected" (PostgreSQL manual, appendix A)
  it.each(['40001', '40P01'])('is given up after five attempts (%s)', async (state) => {
    let attempts = 0;
    const losing = transactions.run(system, async (tx) => {
      attempts += 1;
      await addFleet(tx, `lost ${state}`);
      await tx.query(raise(state));
    });
    await expect(losing).rejects.toMatchObject({ code: state });
    expect(attempts).toBe(5);
    expect(await fleetsNamed(`lost ${state}`)).toBe(0);
  });

  it('stops repeating as soon as it succeeds', async () => {
    let attempts = 0;
    const answer = await transactions.run(system, async (tx) => {
      attempts += 1;
      await addFleet(tx, 'third time lucky');
      if (attempts < 3) await tx.query(raise('40001'));
      return attempts;
    });
    expect(answer).toBe(3);
    expect(await fleetsNamed('third time lucky')).toBe(1);
  });
});

describe('any other failure', () => {
  it.each<[string, (tx: Tx) => Promise<unknown>, object]>([
    ['a violated constraint', (tx) => tx.query(raise('23505')), { code: '23505' }],
    ['bad data', (tx) => tx.query(`SELECT 'x'::integer`), { code: '22P02' }],
    ['an exclusion', (tx) => tx.query(raise('23P01')), { code: '23P01' }],
    ['a statement that took too long', (tx) => tx.query(raise('57014')), { code: '57014' }],
    ['a refusal', () => Promise.reject(bodyError('#/x', 'no', 'yes')), { code: 'validation-failed' }],
    ['a mistake in the program', () => Promise.reject(new TypeError('broken')), { message: 'broken' }],
  ])('is not repeated and leaves nothing: %s', async (name, fail, error) => {
    let attempts = 0;
    const failing = transactions.run(system, async (tx) => {
      attempts += 1;
      await addFleet(tx, name);
      await fail(tx);
    });
    await expect(failing).rejects.toMatchObject(error);
    expect(attempts).toBe(1);
    expect(await fleetsNamed(name)).toBe(0);
    expect(await leftOpen()).toBe(0);
  });

  it('leaves nothing when the connection dies in the middle, and the next transaction works', async () => {
    const dying = transactions.run(system, async (tx) => {
      await addFleet(tx, 'died');
      await tx.query('SELECT pg_terminate_backend(pg_backend_pid())');
    });
    const error: unknown = await dying.catch((reason: unknown) => reason);
    expect(isConnectionError(error)).toBe(true);
    expect(await fleetsNamed('died')).toBe(0);
    expect(await transactions.run(system, (tx) => tx.query('SELECT 1 AS one'))).toEqual([{ one: 1 }]);
  });

  it('says that the connection is gone when it went between two statements', async () => {
    const dying = transactions.run(system, async (tx) => {
      await addFleet(tx, 'died between');
      const [{ pid }] = await tx.query<[{ pid: number }]>('SELECT pg_backend_pid() AS pid');
      await sql('SELECT pg_terminate_backend($1)', [pid]);
      await untilTrue(
        async () => (await sql('SELECT FROM pg_stat_activity WHERE pid = $1', [pid])).length === 0,
      );
      await sleep(50);
      await addFleet(tx, 'died between');
    });
    const error: unknown = await dying.catch((reason: unknown) => reason);
    expect(isConnectionError(error)).toBe(true);
    expect(await fleetsNamed('died between')).toBe(0);
  });

  it('does not use up the pool, however often it happens', async () => {
    const failing = Array.from({ length: 40 }, (_, index) =>
      transactions
        .run(system, (tx) =>
          tx.query(index % 2 === 0 ? raise('22000') : 'SELECT pg_terminate_backend(pg_backend_pid())'),
        )
        .catch((error: unknown) => error),
    );
    for (const outcome of await Promise.all(failing)) expect(outcome).toBeInstanceOf(Error);
    const names = await Promise.all(
      Array.from({ length: 30 }, () =>
        transactions.run(system, (tx) => tx.query('SELECT name FROM organisations')),
      ),
    );
    expect(new Set(names.map((rows) => JSON.stringify(rows)))).toEqual(new Set(['[{"name":"Tarn Valley"}]']));
    expect(await leftOpen()).toBe(0);
  });

  it('a key that was revoked meanwhile cannot begin one', async () => {
    const { apiKeyId } = parseApiKey(
      await addKey(test, { organisationId, administratorKey }, 'fleet-planner'),
    )!;
    await sql('UPDATE api_keys SET revoked_at = now() WHERE id = $1', [apiKeyId]);
    let started = false;
    const refused = transactions.run({ ...system, actorId: apiKeyId }, () => {
      started = true;
      return Promise.resolve();
    });
    await expect(refused).rejects.toMatchObject({ code: 'key-not-valid' });
    expect(started).toBe(false);
  });
});

describe('one statement sent ahead (readRows)', () => {
  const fleets = { sql: 'SELECT id, name FROM fleets WHERE name <> $1 ORDER BY id', parameters: ['nobody'] };
  beforeAll(() => transactions.run(system, (tx) => addFleet(tx, 'sent for')));

  it('answers what a transaction answers', async () => {
    const read = await transactions.read(principal, (tx) =>
      tx.query<{ name: string }[]>(fleets.sql, fleets.parameters),
    );
    const sentAhead = await transactions.readRows<{ name: string }>(principal, fleets);
    expect(sentAhead).toEqual(read);
    expect(sentAhead.length).toBeGreaterThan(0);
    const everyRead = await Promise.all(
      Array.from({ length: 50 }, () => transactions.readRows(principal, fleets)),
    );
    for (const rows of everyRead) expect(rows).toEqual(read);
  });

  it('keeps to the organisation of its caller while others read on the same connections', async () => {
    const other = await test.organisation('Fell Side');
    const mine = { sql: 'SELECT name FROM organisations', parameters: [] };
    const names = await Promise.all(
      Array.from({ length: 60 }, (_, index) =>
        transactions.readRows<{ name: string }>(
          index % 2 === 0 ? principal : systemPrincipal(other.organisationId, 'test'),
          mine,
        ),
      ),
    );
    names.forEach((rows, index) =>
      expect(rows).toEqual([{ name: index % 2 === 0 ? 'Tarn Valley' : 'Fell Side' }]),
    );
  });

  it('cannot write', async () => {
    const writing = transactions.readRows(principal, {
      sql: `INSERT INTO fleets (organisation_id, name) VALUES ($1, 'sent ahead')`,
      parameters: [organisationId],
    });
    // 25006 is "read only SQL transaction"
    await expect(writing).rejects.toMatchObject({ code: '25006' });
    expect(await fleetsNamed('sent ahead')).toBe(0);
  });

  it('leaves the pool usable after an error in the statement', async () => {
    const bad = { sql: 'SELECT 1 / (SELECT count(*) - count(*) FROM fleets)', parameters: [] };
    const outcomes = await Promise.allSettled(
      Array.from({ length: 40 }, (_, index) =>
        transactions.readRows(principal, index % 2 === 0 ? bad : fleets),
      ),
    );
    outcomes.forEach((outcome, index) => {
      expect(outcome.status).toBe(index % 2 === 0 ? 'rejected' : 'fulfilled');
      if (outcome.status === 'rejected') expect(outcome.reason).toMatchObject({ code: '22012' });
    });
    expect(await transactions.readRows(principal, fleets)).not.toEqual([]);
    expect(await leftOpen()).toBe(0);
  });

  it('tells a revoked key so, and shows it nothing', async () => {
    const { apiKeyId } = parseApiKey(
      await addKey(test, { organisationId, administratorKey }, 'fleet-planner'),
    )!;
    const holder = { ...system, actorId: apiKeyId };
    expect(await transactions.readRows(holder, fleets)).not.toEqual([]);
    await sql('UPDATE api_keys SET revoked_at = now() WHERE id = $1', [apiKeyId]);
    await expect(transactions.readRows(holder, fleets)).rejects.toMatchObject({ code: 'key-not-valid' });
    // a statement that would fail on every row it sees has none to fail on
    const perRow = { sql: 'SELECT 1 / (length(name) - length(name)) FROM fleets', parameters: [] };
    await expect(transactions.readRows(holder, perRow)).rejects.toMatchObject({ code: 'key-not-valid' });
    expect(await transactions.readRows(principal, fleets)).not.toEqual([]);
  });

  it('survives a connection that dies under it', async () => {
    const deaths = await Promise.all(
      Array.from({ length: 12 }, () =>
        transactions
          .readRows(principal, { sql: 'SELECT pg_terminate_backend(pg_backend_pid())', parameters: [] })
          .catch((error: unknown) => error),
      ),
    );
    for (const error of deaths) expect(isConnectionError(error)).toBe(true);

    const long = { sql: `SELECT pg_sleep(30), 'of this test' AS mark`, parameters: [] };
    const busy = `datname = current_database() AND state = 'active' AND pid <> pg_backend_pid() AND query LIKE '%of this test%'`;

    // the server closes it in the middle of a long statement
    const closed = transactions.readRows(principal, long).catch((error: unknown) => error);
    await untilTrue(async () => {
      const killed = await sql(`SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE ${busy}`);
      return killed.length > 0;
    });
    expect(isConnectionError(await closed)).toBe(true);

    // gone without a word, as when a network breaks
    const cut = transactions.readRows(principal, long).catch((error: unknown) => error);
    await untilTrue(async () => (await sql(`SELECT FROM pg_stat_activity WHERE ${busy}`)).length > 0);
    const pool = (test.app.get(DataSource).driver as unknown as { master: PoolOfSockets }).master;
    for (const client of pool._clients) client.connection.stream.destroy();
    expect(isConnectionError(await cut)).toBe(true);

    expect(await transactions.readRows(principal, fleets)).not.toEqual([]);
    // an error that nobody listens to would be thrown in a later turn, and fail the test
    await sleep(50);
  });
});

interface PoolOfSockets {
  _clients: { connection: { stream: { destroy(): void } } }[];
}

async function untilTrue(condition: () => Promise<boolean>): Promise<void> {
  for (let attempt = 0; attempt < 1_000; attempt++) {
    if (await condition()) return;
    await sleep(20);
  }
  throw new Error('what the test waits for did not happen');
}

describe('Idempotency-Key', () => {
  interface Fleet {
    id: string;
    name: string;
  }
  const post = (name: string, idempotencyKey: string, key = administratorKey): request.Test =>
    request(test.app.getHttpServer())
      .post('/v1/fleets')
      .set('authorization', `Bearer ${key}`)
      .set('idempotency-key', idempotencyKey)
      .send({ name });

  it('twenty at the same moment make one record; whoever came second is answered later', async () => {
    const key = randomUUID();
    const answers = await Promise.all(Array.from({ length: 20 }, () => post('twenty', key)));
    expect(await fleetsNamed('twenty')).toBe(1);
    const created = answers.filter(({ status }) => status === 201);
    const waiting = answers.filter(({ status }) => status === 409);
    expect(created.length).toBeGreaterThan(0);
    expect(created.length + waiting.length).toBe(20);
    for (const { body } of waiting) expect(body).toMatchObject({ type: '/problems/request-in-progress' });
    const ids = new Set(created.map(({ body }) => (body as Fleet).id));
    expect(ids.size).toBe(1);
    const later = await post('twenty', key);
    expect([later.status, later.body]).toEqual([201, created[0]!.body]);
    expect(await fleetsNamed('twenty')).toBe(1);
  });

  it('answers the first answer, even after the record has changed', async () => {
    const key = randomUUID();
    const first = await post('to be renamed', key);
    await sql(`UPDATE fleets SET name = 'renamed', revision = 2 WHERE id = $1`, [(first.body as Fleet).id]);
    const again = await post('to be renamed', key);
    expect([again.status, again.body, again.headers.etag]).toEqual([201, first.body, first.headers.etag]);
  });

  it('is refused for another request, and is another one in another key’s hands', async () => {
    const key = randomUUID();
    expect((await post('once', key)).status).toBe(201);
    const other = await post('once more', key);
    expect([other.status, (other.body as { type: string }).type]).toEqual([
      422,
      '/problems/idempotency-key-reused',
    ]);
    const colleague = await addKey(test, { organisationId, administratorKey }, 'administrator');
    expect((await post('once', key, colleague)).status).toBe(201);
    expect(await fleetsNamed('once')).toBe(2);
  });

  it('remembers nothing of a request that was refused', async () => {
    const key = randomUUID();
    expect((await post('', key)).status).toBe(422);
    expect((await post('now with a name', key)).status).toBe(201);
  });

  it('a client that was cut off after the commit gets the first answer when it repeats', async () => {
    const key = randomUUID();
    const server = test.app.getHttpServer() as { address(): { port: number } | null; listening: boolean };
    if (!server.listening) await test.app.listen(0, '127.0.0.1');
    const socket = connect(server.address()!.port, '127.0.0.1');
    await once(socket, 'connect');
    const body = JSON.stringify({ name: 'cut off' });
    socket.end(
      [
        'POST /v1/fleets HTTP/1.1',
        'Host: localhost',
        `Authorization: Bearer ${administratorKey}`,
        `Idempotency-Key: ${key}`,
        'Content-Type: application/json',
        `Content-Length: ${Buffer.byteLength(body)}`,
        '',
        body,
      ].join('\r\n'),
    );
    await untilTrue(async () => (await fleetsNamed('cut off')) === 1);
    socket.destroy();
    const again = await post('cut off', key);
    expect(again.status).toBe(201);
    const stored = await sql<Fleet>(`SELECT id, name FROM fleets WHERE name = 'cut off'`);
    expect(stored).toEqual([{ id: (again.body as Fleet).id, name: 'cut off' }]);
  });

  it('is not kept when the transaction dies before its commit, and stands for the repetition', async () => {
    const idempotency = { key: randomUUID(), fingerprint: 'f' };
    const dying = transactions.write({ principal, idempotency }, async (tx) => {
      const id = await addFleet(tx, 'half way');
      await tx.query('SELECT pg_terminate_backend(pg_backend_pid())');
      return { id };
    });
    await expect(dying).rejects.toThrow();
    expect(await fleetsNamed('half way')).toBe(0);
    let runs = 0;
    const write = (): Promise<{ id: string; at: string | null }> =>
      transactions.write({ principal, idempotency }, async (tx) => {
        runs += 1;
        return { id: await addFleet(tx, 'half way'), at: null };
      });
    const first = await write();
    expect(await write()).toEqual(first);
    expect(runs).toBe(1);
    expect(await fleetsNamed('half way')).toBe(1);
  });

  it('is repeated with its record when the transaction lost against another one', async () => {
    const idempotency = { key: randomUUID(), fingerprint: 'f' };
    let attempts = 0;
    const answer = await transactions.write({ principal, idempotency }, async (tx) => {
      attempts += 1;
      await addFleet(tx, 'lost once');
      if (attempts === 1) await tx.query(raise('40P01'));
      return { attempts };
    });
    expect(answer).toEqual({ attempts: 2 });
    expect(await fleetsNamed('lost once')).toBe(1);
  });

  it('is forgotten after two days', async () => {
    const age = (hours: number, count: number): Promise<unknown> =>
      sql(
        `INSERT INTO idempotency_records (organisation_id, actor_id, idempotency_key, fingerprint, response, created_at)
          SELECT $1, $2, 'aged ' || $3::integer || ' ' || n, 'f', '{}', now() - $3::integer * interval '1 hour'
            FROM generate_series(1, $4::integer) n`,
        [organisationId, principal.actorId, hours, count],
      );
    const aged = async (): Promise<string[]> =>
      (
        await sql<{ key: string }>(
          `SELECT idempotency_key AS key FROM idempotency_records WHERE organisation_id = $1 AND idempotency_key LIKE 'aged %'`,
          [organisationId],
        )
      ).map(({ key }) => key.replace(/ \d+$/, ''));
    await age(47, 2);
    await age(49, 12);
    // each new record takes a few old ones with it
    for (let round = 0; round < 3; round++) {
      const before = (await aged()).length;
      expect((await post(`round ${round}`, randomUUID())).status).toBe(201);
      expect((await aged()).length).toBeLessThan(before);
    }
    expect(await aged()).toEqual(['aged 47', 'aged 47']);
  });
});
