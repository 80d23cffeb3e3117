import LinkHeader from 'http-link-header';
import { EVENT_TYPES } from '../../src/platform/audit/recorded-changes';
import type { ChangeDto } from '../../src/modules/changes/dto/change.dto';
import { asOwner } from '../support/api-client';
import { cloudEventFaults } from '../support/cloud-event-check';
import { FeedReader } from '../support/feed-reader';
import { Operator } from '../support/operator';
import { send } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';
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

const isOfAccess = ({ type }: ChangeDto): boolean =>
  /^(api-key|calendar-feed|oauth-client|person|webhook-endpoint)\./.test(type);

describe('who is told', () => {
  it('a key of some fleets, of these alone', async () => {
    const {
      id,
      keys: { planner, administrator },
    } = world.otherFleet;
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
    expect(told).toEqual(everything.filter((event) => !isOfAccess(event) && !elsewhere.includes(event)));
    expect(told.some(({ workshopid }) => workshopid === world.ids.workshopId)).toBe(true);
  });

  it('only administrators, of keys', async () => {
    const everything = await all(world.organisation.administratorKey);
    expect(everything.some(isOfAccess)).toBe(true);
    for (const role of ['technician', 'dealer-system'] as const) {
      expect(await all(world.keys[role])).toEqual(everything.filter((event) => !isOfAccess(event)));
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

  it('looks on over more of what is not asked for than one look takes in', async () => {
    const crowded = await Operator.of(test, 'An operator with a long list');
    const feed = await reader(keyOf(crowded), { types: 'depot.created' }).now();
    await crowded.sql(
      `INSERT INTO events (organisation_id, type, subject_type, subject_id, data)
        SELECT $1, 'fleet.changed', 'fleet', $1, '{}' FROM generate_series(1, 5000)`,
      [crowded.organisationId],
    );
    await crowded.depot(await crowded.fleet('Patient transport'), 'Upper Tarn');
    expect(await feed.until(({ length }) => length === 1)).toHaveLength(1);
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
