import { createHash, randomUUID } from 'node:crypto';
import { Client } from 'pg';
import { sealHash } from '../../src/modules/audit-seals/audit-chain';
import { STORED_ENTRY, type StoredEntry } from '../../src/platform/audit/stored-entry';
import { apiClient, asOwner, type ApiClient } from '../support/api-client';
import { Operator } from '../support/operator';
import { sealAllEntries } from '../support/seal-audit-trail';
import { send } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';

interface Entry {
  organisationId: string;
  id: string;
  sequence: string;
  recordedAt: string;
  actor: string;
  action: string;
  subjectType: string;
  subjectId: string;
  vehicleId: string | null;
  before: Record<string, unknown> | null;
  after: Record<string, unknown> | null;
  seal: { position: number; hash: string; sealedAt: string } | null;
}

interface Page {
  items: Entry[];
  next: string | null;
}

interface Head {
  position: number;
  hash: string;
}

interface Check {
  entriesChecked: number;
  checkedUpTo: Head;
  complete: boolean;
  fault: { kind: string; position: number | null; entryId: string | null; detail: string } | null;
  unsealed: { entries: number; oldestRecordedAt: string | null };
}

/** A head as it is handed in again later. */
const noted = async (client: ApiClient): Promise<Head> => {
  const { position, hash } = await client.ok<Head>('get', '/v1/audit-head');
  return { position, hash };
};

const ZEROS = '0'.repeat(64);

let test: TestApp;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 10_000_000 });
});
afterAll(() => test.close());

const sealed = (operator: Operator): Promise<number> => sealAllEntries(test, operator.organisationId);

const operators = (): Promise<{ id: string }[]> =>
  asOwner(test, randomUUID(), 'SELECT organisation_id AS id FROM app.tenants');

/** An operator with two fleets, and about a dozen entries in its audit trail. */
async function anOperator(name = 'Tarn Valley Patient Transport') {
  const operator = await Operator.of(test, name);
  const fleetId = await operator.fleet('Patient transport');
  const otherFleetId = await operator.fleet('School runs');
  const depotId = await operator.depot(fleetId, 'Upper Tarn');
  const otherDepotId = await operator.depot(otherFleetId, 'Lower Tarn');
  const vehicleId = await operator.vehicle(depotId, 'TVP 101');
  const otherVehicleId = await operator.vehicle(otherDepotId, 'TVP 201');
  for (const value of [1_000.5, 2_000, 3_000])
    await operator.admin.ok('post', `/v1/vehicles/${vehicleId}/odometer-readings`, {
      body: { value, readAt: `2026-0${(value / 1_000 + 1) | 0}-01T09:00:00Z`, source: 'driver-sheet' },
    });
  const depot = await operator.admin.call('get', `/v1/depots/${depotId}`);
  await operator.admin.ok('patch', `/v1/depots/${depotId}`, {
    body: { name: 'Upper Tarn yard' },
    ifMatch: depot.etag,
  });
  return { operator, fleetId, otherFleetId, depotId, vehicleId, otherVehicleId };
}

async function allEntries(client: ApiClient, query = '', limit = 500): Promise<Entry[]> {
  const entries: Entry[] = [];
  for (let cursor = ''; ;) {
    const page = await client.ok<Page>('get', `/v1/audit-entries?limit=${limit}${query}${cursor}`);
    entries.push(...page.items);
    if (page.next === null) return entries;
    cursor = `&cursor=${encodeURIComponent(page.next)}`;
  }
}

async function check(client: ApiClient, heads: Head[] = []): Promise<Check> {
  for (let after: Head | undefined; ;) {
    const answer = await client.ok<Check>('post', '/v1/audit-checks', {
      body: { heads, ...(after === undefined ? {} : { after }) },
    });
    if (answer.complete || answer.fault !== null) return answer;
    after = answer.checkedUpTo;
  }
}

describe('entries', () => {
  it('tell who did what to what, when, and what it was before and after', async () => {
    const { operator, depotId } = await anOperator();
    const [changed] = await allEntries(operator.admin, `&subjectId=${depotId}`);
    expect(changed).toMatchObject({
      organisationId: operator.organisationId,
      actor: expect.stringMatching(/^first administrator \(key /) as string,
      action: 'changed',
      subjectType: 'depot',
      subjectId: depotId,
      vehicleId: null,
      before: { name: 'Upper Tarn' },
      after: { name: 'Upper Tarn yard' },
      seal: null,
    });
    expect(changed?.recordedAt).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z$/);
    const one = await operator.admin.ok<Entry>('get', `/v1/audit-entries/${changed?.id ?? ''}`);
    expect(one).toEqual(changed);
  });

  it('come newest first, a page at a time, each once, also while others are written', async () => {
    const { operator, fleetId } = await anOperator();
    const all = await allEntries(operator.admin);
    expect(all.length).toBeGreaterThan(9);
    const moments = all.map(({ recordedAt, id }) => `${recordedAt} ${id}`);
    expect(moments).toEqual([...moments].sort().reverse());
    const first = await operator.admin.ok<Page>('get', '/v1/audit-entries?limit=4');
    await operator.depot(fleetId, 'Middle Tarn');
    const second = await operator.admin.ok<Page>(
      'get',
      `/v1/audit-entries?limit=4&cursor=${encodeURIComponent(first.next ?? '')}`,
    );
    expect([...first.items, ...second.items]).toEqual(all.slice(0, 8));
    expect((await allEntries(operator.admin, '', 4)).slice(1)).toEqual(all);
  });

  it('are filtered by vehicle, subject, kind, actor and time', async () => {
    const { operator, vehicleId } = await anOperator();
    const planner = await operator.colleague('fleet-planner');
    await planner.ok('post', `/v1/vehicles/${vehicleId}/holds`, { body: { reason: 'fluid on the floor' } });
    const all = await allEntries(operator.admin);
    const expected = (test: (entry: Entry) => boolean): string[] => all.filter(test).map(({ id }) => id);
    const hold = all.find(({ subjectType }) => subjectType === 'hold')!;
    const middle = all[5]!.recordedAt;
    for (const [query, keeps] of [
      [`&vehicleId=${vehicleId}`, (entry: Entry) => entry.vehicleId === vehicleId],
      [`&subjectType=depot`, (entry: Entry) => entry.subjectType === 'depot'],
      [`&subjectId=${hold.subjectId}`, (entry: Entry) => entry.subjectId === hold.subjectId],
      [`&actor=${encodeURIComponent(hold.actor)}`, (entry: Entry) => entry.actor === hold.actor],
      [`&fromAt=${middle}`, (entry: Entry) => entry.recordedAt >= middle],
      [`&untilAt=${middle}`, (entry: Entry) => entry.recordedAt < middle],
    ] as const) {
      const found = (await allEntries(operator.admin, query, 3)).map(({ id }) => id);
      expect([query, found]).toEqual([query, expected(keeps)]);
      expect(found.length).toBeGreaterThan(0);
      expect(found.length).toBeLessThan(all.length);
    }
    expect(await operator.admin.refused('get', '/v1/audit-entries?fromAt=yesterday')).toEqual([
      422,
      'fromAt',
    ]);
    expect(await operator.admin.refused('get', '/v1/audit-entries?vehicleId=TVP')).toEqual([
      422,
      'vehicleId',
    ]);
  });

  it('that are about no vehicle are for administrators of the whole organisation only', async () => {
    const { operator, fleetId, vehicleId, otherVehicleId } = await anOperator();
    const vehiclesIn = async (client: ApiClient): Promise<(string | null)[]> => [
      ...new Set((await allEntries(client)).map((entry) => entry.vehicleId)),
    ];
    expect((await vehiclesIn(operator.admin)).sort()).toEqual([vehicleId, otherVehicleId, null].sort());
    const planner = await operator.colleague('fleet-planner');
    expect((await vehiclesIn(planner)).sort()).toEqual([vehicleId, otherVehicleId].sort());
    for (const role of ['administrator', 'fleet-planner'] as const) {
      const limited = await operator.colleague(role, [fleetId]);
      expect(await vehiclesIn(limited)).toEqual([vehicleId]);
      const hidden = (await allEntries(operator.admin)).filter((entry) => entry.vehicleId !== vehicleId);
      for (const { id } of hidden)
        expect(await limited.refused('get', `/v1/audit-entries/${id}`)).toEqual([404]);
    }
    // the chain is that of the whole organisation
    const limited = await operator.colleague('administrator', [fleetId]);
    expect(await limited.refused('get', '/v1/audit-head')).toEqual([403]);
    expect(await limited.refused('post', '/v1/audit-checks', { body: {} })).toEqual([403]);
  });

  it('are not for a key of some workshops, since they tell of all', async () => {
    const { operator } = await anOperator();
    const workshop = await operator.admin.ok<{ id: string }>('post', '/v1/workshops', {
      body: { name: 'Upper Tarn workshop', zone: 'Europe/London', weeklyHours: [] },
    });
    const { key } = await operator.admin.ok<{ key: string }>('post', '/v1/api-keys', {
      body: { name: 'one workshop', role: 'administrator', workshopIds: [workshop.id] },
    });
    const limited = apiClient(test, key);
    expect(await limited.refused('get', '/v1/audit-entries')).toEqual([403]);
    expect(await limited.refused('get', '/v1/audit-head')).toEqual([403]);
  });
});

describe('the chain', () => {
  it('begins with zeros and tells what it does not vouch for yet', async () => {
    const { operator } = await anOperator();
    const entries = await allEntries(operator.admin);
    const empty = { position: 0, hash: ZEROS };
    const unsealed = { entries: entries.length, oldestRecordedAt: entries.at(-1)?.recordedAt };
    expect(await operator.admin.ok('get', '/v1/audit-head')).toEqual({
      organisationId: operator.organisationId,
      ...empty,
      sealedAt: null,
      unsealed,
    });
    const nothing = { entriesChecked: 0, checkedUpTo: empty, complete: true, fault: null, unsealed };
    expect(await check(operator.admin)).toEqual(nothing);

    expect(await sealed(operator)).toBe(entries.length);
    expect(await sealed(operator)).toBe(0);
    const head = await operator.admin.ok<Head>('get', '/v1/audit-head');
    expect(head).toMatchObject({
      position: entries.length,
      unsealed: { entries: 0, oldestRecordedAt: null },
    });
    expect(await check(operator.admin, [{ position: head.position, hash: head.hash }])).toEqual({
      entriesChecked: entries.length,
      checkedUpTo: { position: head.position, hash: head.hash },
      complete: true,
      fault: null,
      unsealed: { entries: 0, oldestRecordedAt: null },
    });

    await operator.fleet('Night service');
    expect(await check(operator.admin, [{ position: head.position, hash: head.hash }])).toMatchObject({
      complete: true,
      unsealed: { entries: 1 },
    });
  });

  it('tells operators how long the oldest entry has waited for its seal', async () => {
    const waited = async (): Promise<number> => {
      const { text } = await send(test, 'GET', '/metrics');
      return Number(/^precharge_audit_unsealed_seconds (\S+)$/m.exec(text)?.[1]);
    };
    const { operator } = await anOperator();
    for (const { id } of await operators()) await sealAllEntries(test, id);
    expect(await waited()).toBe(0);
    await operator.fleet('Night service');
    expect(await waited()).toBeGreaterThan(0);
    await sealed(operator);
    expect(await waited()).toBe(0);
  });

  it('can be computed again by anybody from what the API answers', async () => {
    const { operator } = await anOperator();
    await sealed(operator);
    const entries = (await allEntries(operator.admin)).sort((a, b) => a.seal!.position - b.seal!.position);
    // by code of this test alone: for what a service of ours writes, canonical JSON is JSON with sorted members
    const canonical = (value: unknown): string => {
      if (Array.isArray(value)) return `[${value.map(canonical).join(',')}]`;
      if (typeof value !== 'object' || value === null) return JSON.stringify(value);
      const members = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1));
      return `{${members.map(([name, each]) => `${JSON.stringify(name)}:${canonical(each)}`).join(',')}}`;
    };
    let hash = Buffer.alloc(32);
    for (const [at, { seal, before, after, ...rest }] of entries.entries()) {
      const whole = { ...rest, ...(before === null ? {} : { before }), ...(after === null ? {} : { after }) };
      hash = createHash('sha256').update(hash).update(canonical(whole)).digest();
      expect([at + 1, hash.toString('hex')]).toEqual([seal?.position, seal?.hash]);
    }
    expect(entries.length).toBeGreaterThan(9);
  });

  it('covers every column of an entry but the transaction id, which says nothing to people', async () => {
    const { operator } = await anOperator();
    const columns = await operator.sql<{ name: string }>(
      `SELECT column_name AS name FROM information_schema.columns WHERE table_name = 'audit_entries'`,
    );
    const camel = (name: string): string =>
      name.replace(/_(\w)/g, (_, letter: string) => letter.toUpperCase());
    const [entry] = await allEntries(operator.admin);
    const known = Object.keys({ ...entry, xid: '' }).filter((name) => name !== 'seal');
    // a column that is added to the table has to be sealed as well: `canonicalEntry` names what is
    expect(columns.map(({ name }) => camel(name)).sort()).toEqual(known.sort());
  });

  it('is checked a part at a time when it is long', async () => {
    const operator = await Operator.of(test, 'A long chain');
    await operator.sql(
      `INSERT INTO audit_entries (organisation_id, actor, action, subject_type, subject_id, after)
        SELECT $1, 'the test', 'created', 'depot', uuidv7(), jsonb_build_object('number', n) FROM generate_series(1, 5003) n`,
      [operator.organisationId],
    );
    expect(await sealed(operator)).toBe(5_003);
    const part = await operator.admin.ok<Check>('post', '/v1/audit-checks', { body: {} });
    expect(part).toMatchObject({
      entriesChecked: 5_000,
      checkedUpTo: { position: 5_000 },
      complete: false,
      fault: null,
    });
    const rest = await operator.admin.ok<Check>('post', '/v1/audit-checks', {
      body: { after: part.checkedUpTo },
    });
    expect(rest).toMatchObject({
      entriesChecked: 3,
      checkedUpTo: { position: 5_003 },
      complete: true,
      fault: null,
    });

    // what is wrong behind the first part is found there
    await tampered(operator, `UPDATE audit_entries SET actor = 'nobody' WHERE id = $1`, [
      await entryAt(operator, 5_002),
    ]);
    expect(await check(operator.admin)).toMatchObject({
      fault: { kind: 'altered', position: 5_002 },
      checkedUpTo: { position: 5_001 },
    });
    // and a check cannot go on from a place that never was
    const wrong = { position: 5_000, hash: 'a'.repeat(64) };
    expect(await operator.admin.ok('post', '/v1/audit-checks', { body: { after: wrong } })).toMatchObject({
      entriesChecked: 0,
      complete: false,
      fault: { kind: 'rewritten', position: 5_000 },
    });
  });
});

/** The entry that a seal names. */
async function entryAt(operator: Operator, position: number): Promise<string> {
  const [row] = await operator.sql<{ id: string }>(
    `SELECT entry_id AS id FROM audit_seals WHERE organisation_id = $1 AND position = $2`,
    [operator.organisationId, position],
  );
  return row!.id;
}

/** Statements as the superuser of the database, past every constraint and trigger. */
async function tampered(operator: Operator, sql: string, parameters: unknown[] = []): Promise<void> {
  const client = new Client({ connectionString: test.database.ownerUrl });
  await client.connect();
  try {
    await client.query(`SET session_replication_role = replica`);
    await client.query(`SELECT set_config('test.organisation', $1, false)`, [operator.organisationId]);
    await client.query(sql, parameters);
  } finally {
    await client.end();
  }
}

const OURS = `organisation_id = current_setting('test.organisation')::uuid`;
const RENUMBERED = `UPDATE audit_seals SET position = position + 1000000 WHERE ${OURS} AND position`;

describe('tampering as the superuser of the database', () => {
  let operator: Operator;
  let head: Head;
  beforeEach(async () => {
    ({ operator } = await anOperator());
    await sealed(operator);
    head = await noted(operator.admin);
  });

  const fault = async (heads: Head[] = []): Promise<Check['fault']> =>
    (await check(operator.admin, heads)).fault;

  it.each([
    `actor = 'somebody else'`,
    `action = 'created '`,
    `subject_type = 'bay'`,
    `subject_id = uuidv7()`,
    `vehicle_id = CASE WHEN vehicle_id IS NULL THEN uuidv7() END`,
    `recorded_at = recorded_at + interval '1 microsecond'`,
    `sequence = sequence + 1000000`,
    `before = '{}'`,
    `after = NULL`,
    `after = after || '{"added": null}'`,
    `after = jsonb_set(after, '{id}', '"another"')`,
    `after = after - 'id'`,
  ])('an entry that was altered is named: %s', async (change) => {
    const id = await entryAt(operator, 5);
    await tampered(operator, `UPDATE audit_entries SET ${change} WHERE ${OURS} AND id = $1`, [id]);
    const found = await fault();
    expect(found).toMatchObject({ kind: 'altered', position: 5, entryId: id });
    expect(found?.detail).toContain(id);
  });

  it('numbers beyond what a double holds are told apart; how a number is written makes no difference', async () => {
    const id = await entryAt(operator, 5);
    const put = (number: string): Promise<void> =>
      tampered(operator, `UPDATE audit_entries SET after = '{"value": ${number}}' WHERE id = $1`, [id]);
    await tampered(operator, `DELETE FROM audit_seals WHERE ${OURS} AND position >= 5`);
    await put('9007199254740992');
    await sealed(operator);
    expect(await fault()).toBeNull();
    await put('9007199254740992.00');
    expect(await fault()).toBeNull();
    await put('9007199254740993');
    expect(await fault()).toMatchObject({ kind: 'altered', position: 5, entryId: id });
  });

  it('an entry that was removed is named', async () => {
    const id = await entryAt(operator, 5);
    await tampered(operator, `DELETE FROM audit_entries WHERE id = $1`, [id]);
    expect(await fault()).toMatchObject({ kind: 'removed', position: 5, entryId: id });
    // and it does not stop the sealing of those that follow, also when it was the last
    await tampered(operator, `DELETE FROM audit_entries WHERE id = $1`, [
      await entryAt(operator, head.position),
    ]);
    await operator.fleet('Night service');
    expect(await sealed(operator)).toBe(1);
    expect(await fault()).toMatchObject({ kind: 'removed', position: 5, entryId: id });
  });

  it('an entry that was removed with its seal leaves a gap', async () => {
    const id = await entryAt(operator, 5);
    await tampered(operator, `DELETE FROM audit_entries WHERE id = $1`, [id]);
    await tampered(operator, `DELETE FROM audit_seals WHERE entry_id = $1`, [id]);
    expect(await fault()).toMatchObject({ kind: 'seal-removed', position: 5, entryId: null });
  });

  it('an entry that was removed with its seal, the gap closed, is missed by the one after it', async () => {
    const next = await entryAt(operator, 6);
    const id = await entryAt(operator, 5);
    await tampered(operator, `DELETE FROM audit_entries WHERE id = $1`, [id]);
    await tampered(operator, `DELETE FROM audit_seals WHERE entry_id = $1`, [id]);
    await tampered(operator, `${RENUMBERED} > 5`);
    await tampered(
      operator,
      `UPDATE audit_seals SET position = position - 1000001 WHERE ${OURS} AND position > 1000000`,
    );
    const found = await fault();
    expect(found).toMatchObject({ kind: 'altered', position: 5, entryId: next });
    expect(found?.detail).toContain('taken out together with its seal');
  });

  it('two entries that were swapped are named', async () => {
    const [first, second] = [await entryAt(operator, 4), await entryAt(operator, 7)];
    const name = (position: number, id: string): [string, unknown[]] => [
      `UPDATE audit_seals SET entry_id = $2 WHERE ${OURS} AND position = $1`,
      [position, id],
    ];
    await tampered(operator, ...name(4, randomUUID()));
    await tampered(operator, ...name(7, first));
    await tampered(operator, ...name(4, second));
    expect(await fault()).toMatchObject({ kind: 'reordered', position: 4, entryId: second });
  });

  it('two entries whose contents were swapped are named', async () => {
    const [first, second] = [await entryAt(operator, 4), await entryAt(operator, 7)];
    await tampered(
      operator,
      `UPDATE audit_entries e SET (actor, action, subject_type, subject_id, vehicle_id, before, after, recorded_at) =
          (o.actor, o.action, o.subject_type, o.subject_id, o.vehicle_id, o.before, o.after, o.recorded_at)
        FROM audit_entries o WHERE e.id IN ($1, $2) AND o.id IN ($1, $2) AND e.id <> o.id`,
      [first, second],
    );
    expect(await fault()).toMatchObject({ kind: 'altered', position: 4, entryId: first });
  });

  it('an entry that was moved in the change log is named', async () => {
    const [first, second] = [await entryAt(operator, 4), await entryAt(operator, 7)];
    await tampered(
      operator,
      `UPDATE audit_entries SET xid = (SELECT xid FROM audit_entries WHERE id = $2) WHERE id = $1`,
      [second, first],
    );
    expect(await fault()).toMatchObject({ kind: 'reordered', position: 7, entryId: second });
  });

  const INSERTED = `INSERT INTO audit_entries (organisation_id, id, actor, action, subject_type, subject_id, recorded_at,
      xid, sequence)
    SELECT organisation_id, $2, 'somebody', 'created', 'hold', uuidv7(), recorded_at, xid, sequence
      FROM audit_entries WHERE id = $1`;

  it('an entry that was put among the others is named', async () => {
    const id = randomUUID();
    await tampered(operator, INSERTED, [await entryAt(operator, 5), id]);
    // two entries at one place: the sealed one keeps it
    await tampered(
      operator,
      `UPDATE audit_entries SET sequence = sequence - 1, xid = xid - 1 WHERE id = $1`,
      [id],
    );
    expect(await sealed(operator)).toBe(0);
    expect(await fault()).toMatchObject({ kind: 'inserted', position: null, entryId: id });
  });

  it.each(['a right hash', 'some hash'])(
    'an entry that was put into the chain with %s is named',
    async (hash) => {
      const id = randomUUID();
      await tampered(operator, INSERTED, [await entryAt(operator, 5), id]);
      await tampered(operator, `UPDATE audit_entries SET sequence = sequence - 1 WHERE id = $1`, [id]);
      await tampered(operator, `${RENUMBERED} >= 5`);
      await tampered(
        operator,
        `UPDATE audit_seals SET position = position - 999999 WHERE ${OURS} AND position > 1000000`,
      );
      await tampered(
        operator,
        `INSERT INTO audit_seals (organisation_id, position, entry_id, hash)
        SELECT organisation_id, 5, $1, hash FROM audit_seals WHERE ${OURS} AND position = 4`,
        [id],
      );
      if (hash === 'a right hash') await resealed(operator, 5, 5);
      expect(await fault()).toMatchObject({ kind: 'inserted', position: 5, entryId: id });
    },
  );

  it('a seal that was altered is told from its entry', async () => {
    await tampered(operator, `UPDATE audit_seals SET hash = sha256(hash) WHERE ${OURS} AND position = 5`);
    expect(await fault()).toMatchObject({
      kind: 'seal-altered',
      position: 5,
      entryId: await entryAt(operator, 5),
    });
  });

  it('a tail that was cut off shows by a head that was noted, and by nothing else', async () => {
    for (const position of [head.position, head.position - 1]) {
      await tampered(operator, `DELETE FROM audit_entries WHERE id = $1`, [
        await entryAt(operator, position),
      ]);
      await tampered(operator, `DELETE FROM audit_seals WHERE ${OURS} AND position = $1`, [position]);
    }
    expect(await fault()).toBeNull();
    expect(await fault([head])).toMatchObject({
      kind: 'truncated',
      position: head.position - 1,
      entryId: null,
    });
    // also when the chain has grown past it meanwhile
    for (const name of ['A', 'B', 'C']) await operator.fleet(name);
    await sealed(operator);
    expect(await fault()).toBeNull();
    expect(await fault([head])).toMatchObject({ kind: 'rewritten', position: head.position });
  });

  it('a chain that was computed anew from altered entries shows by a head that was noted, and by nothing else', async () => {
    const early = { position: 3, hash: (await sealAt(operator, 3)).toString('hex') };
    await tampered(operator, `UPDATE audit_entries SET actor = 'nobody' WHERE id = $1`, [
      await entryAt(operator, 5),
    ]);
    await resealed(operator, 5, head.position);
    expect(await fault()).toBeNull();
    expect(await fault([early])).toBeNull();
    const id = await entryAt(operator, head.position);
    expect(await fault([early, head])).toMatchObject({
      kind: 'rewritten',
      position: head.position,
      entryId: id,
    });
  });

  it('of one organisation leaves the chain of another in order', async () => {
    const { operator: other } = await anOperator('Another operator');
    await sealed(other);
    await tampered(operator, `UPDATE audit_entries SET actor = 'nobody' WHERE ${OURS}`);
    expect(await fault()).toMatchObject({ kind: 'altered', position: 1 });
    expect(await check(other.admin)).toMatchObject({ complete: true, fault: null });
    expect((await other.admin.ok<{ organisationId: string }>('get', '/v1/audit-head')).organisationId).toBe(
      other.organisationId,
    );
  });

  it('is not possible to the role of the application', async () => {
    const client = new Client({ connectionString: test.database.appUrl });
    await client.connect();
    try {
      await client.query(`SELECT set_config('app.organisation_id', $1, false)`, [operator.organisationId]);
      for (const table of ['audit_entries', 'audit_seals'])
        for (const sql of [
          `UPDATE ${table} SET recorded_at = now()`,
          `DELETE FROM ${table}`,
          `TRUNCATE ${table}`,
        ])
          // 42501 is "insufficient privilege" (PostgreSQL manual, appendix A)
          await expect(client.query(sql)).rejects.toMatchObject({ code: '42501' });
    } finally {
      await client.end();
    }
  });
});

async function sealAt(operator: Operator, position: number): Promise<Buffer> {
  const [row] = await operator.sql<{ hash: Buffer }>(
    `SELECT hash FROM audit_seals WHERE organisation_id = $1 AND position = $2`,
    [operator.organisationId, position],
  );
  return row?.hash ?? Buffer.alloc(32);
}

/** Computes seals anew from the entries as they are now, as somebody who knows how would. */
async function resealed(operator: Operator, from: number, until: number): Promise<void> {
  let hash = await sealAt(operator, from - 1);
  for (let position = from; position <= until; position++) {
    const [entry] = await operator.sql<StoredEntry>(
      `SELECT ${STORED_ENTRY} FROM audit_entries e WHERE id = $1`,
      [await entryAt(operator, position)],
    );
    hash = sealHash(hash, entry!);
    await tampered(operator, `UPDATE audit_seals SET hash = $2 WHERE ${OURS} AND position = $1`, [
      position,
      hash,
    ]);
  }
}
