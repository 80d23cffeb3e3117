import { createHash } from 'node:crypto';
import { readdirSync } from 'node:fs';
import type { ServerResponse } from 'node:http';
import { tmpdir } from 'node:os';
import { setTimeout as sleep } from 'node:timers/promises';
import { parse } from 'csv-parse/sync';
import { Client } from 'pg';
import { addKey, asOwner } from '../support/api-client';
import { guardedOperationsOf, readContract, type Operation } from '../support/contract-check';
import { schemaOf } from '../support/contract-schemas';
import { countStatements } from '../support/count-statements';
import { requiredQuery } from '../support/required-query';
import { send, type Sent } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';
import { addressOf, buildWorld, type World } from '../support/world';

// Generated from the contract: a list that is added is tested as soon as it is declared. CSV: RFC 4180, read by
// csv-parse. NDJSON: one JSON text (RFC 8259) a line. Digest: RFC 9530. Accept: RFC 9110, section 12.5.1.

jest.setTimeout(300_000);

const CSV = 'text/csv';
const NDJSON = 'application/x-ndjson';
const UNCOUNTED = { requestsPerMinute: 10_000_000 };

type Item = Record<string, unknown>;

const contract = readContract();
const answered = guardedOperationsOf(contract).filter(({ method }) => method === 'GET');
const parametersOf = ({ parameters }: Operation): string[] => (parameters ?? []).map(({ name }) => name);
const mediaOf = ({ responses }: Operation): string[] => Object.keys(responses['200']?.content ?? {});

/** What can be taken for a list: it goes on, or its answer is about the items in it. */
function looksLikeList(operation: Operation): boolean {
  const raw = operation.responses['200']?.content?.['application/json']?.schema;
  if (raw === undefined) return false;
  const { types, properties } = schemaOf(contract, raw);
  const listed = properties.items !== undefined && properties.id === undefined;
  return (
    types.includes('array') ||
    listed ||
    properties.next !== undefined ||
    parametersOf(operation).includes('cursor')
  );
}

// the rejects of an import are a file by themselves, which is no list as JSON
const lists = answered.filter(({ operation }) =>
  ['application/json', NDJSON].every((media) => mediaOf(operation).includes(media)),
);

let test: TestApp;
let mine: World;
let theirs: World;
/** of an operator with a long list of readings */
let longKey: string;
beforeAll(async () => {
  test = await startTestApp(UNCOUNTED);
  mine = await buildWorld(test, 'Tarn Valley Patient Transport');
  theirs = await buildWorld(test, 'Another operator');
});
afterAll(() => test.close());

const urlOf = (path: string, operation: Operation, world: World): string =>
  addressOf(path, world.ids) + requiredQuery(contract, operation, world.ids);

const ask = (url: string, accept: string, key: string): Promise<Sent> =>
  send(test, 'GET', url, { key, headers: { accept } });

const linesOf = ({ text }: Sent): Item[] =>
  text
    .split('\n')
    .slice(0, -1)
    .map((line) => JSON.parse(line) as Item);

/** The list as whoever follows its pages gets it. */
async function pagesOf(url: string, key: string, paged: boolean): Promise<{ status: number; items: Item[] }> {
  const items: Item[] = [];
  for (let cursor: unknown = null; ;) {
    const query = new URLSearchParams(paged ? { limit: '1' } : {});
    if (typeof cursor === 'string') query.set('cursor', cursor);
    const joined = `${url}${url.includes('?') ? '&' : '?'}${query.toString()}`;
    const { status, body } = await send(test, 'GET', joined, { key });
    if (status !== 200) return { status, items };
    items.push(...(body.items as Item[]));
    cursor = body.next ?? null;
    if (cursor === null) return { status, items };
  }
}

/** What a cell of the column has to say, worked out from its name alone. */
function cellOf(item: Item, column: string): string {
  const value = column
    .split('.')
    .reduce<unknown>(
      (part, name) => (part === null || part === undefined ? part : (part as Item)[name]),
      item,
    );
  if (value === null || value === undefined) return '';
  return typeof value === 'string' ? value : JSON.stringify(value);
}

/** Every place of an item that says something, down to single values; a list is one place. */
function placesOf(value: unknown, place: string[] = []): string[] {
  if (value === null || value === undefined) return [];
  if (typeof value !== 'object' || Array.isArray(value)) return [place.join('.')];
  return Object.entries(value).flatMap(([name, part]) => placesOf(part, [...place, name]));
}

describe('every list', () => {
  it('is exported, or says why not', () => {
    const undecided = answered
      .filter(({ operation }) => looksLikeList(operation))
      .filter(({ operation }) => {
        const reason = (operation as { 'x-not-exported'?: string })['x-not-exported'] ?? '';
        const exported = [CSV, NDJSON].every((type) => mediaOf(operation).includes(type));
        return exported ? reason !== '' : reason.length < 20;
      })
      .map(({ path }) => path);
    expect(undecided).toEqual([]);
    expect(lists.length).toBeGreaterThan(40);
  });

  it.each(['administrator', 'technician', 'of the other fleet'])(
    'gives %s exactly what its pages do',
    async (who) => {
      const key =
        who === 'of the other fleet'
          ? mine.otherFleet.keys.administrator
          : mine.keys[who as 'administrator' | 'technician'];
      const wrong: string[] = [];
      let exported = 0;
      for (const { path, operation } of lists) {
        const url = urlOf(path, operation, mine);
        const pages = await pagesOf(url, key, parametersOf(operation).includes('cursor'));
        const ndjson = await ask(url, NDJSON, key);
        const csv = await ask(url, CSV, key);
        if (pages.status !== 200) {
          if (ndjson.status !== pages.status || csv.status !== pages.status)
            wrong.push(`${path}: ${ndjson.status}`);
          continue;
        }
        const items = linesOf(ndjson);
        if (JSON.stringify(items) !== JSON.stringify(pages.items))
          wrong.push(`${path}: ${ndjson.text} instead of ${JSON.stringify(pages.items)}`);
        const [header = [], ...rows]: string[][] = parse(csv.text, { record_delimiter: '\r\n' });
        const expected = pages.items.map((item) => header.map((column) => cellOf(item, column)));
        if (JSON.stringify(rows) !== JSON.stringify(expected)) wrong.push(`${path}: ${csv.text}`);
        const missing = pages.items
          .flatMap((item) => placesOf(item))
          .filter((place) => !header.some((column) => place === column || place.startsWith(`${column}.`)));
        if (missing.length > 0) wrong.push(`${path} has no column for ${missing.join(', ')}`);
        for (const { headers, text } of [ndjson, csv]) {
          const digest = `sha-256=:${createHash('sha256').update(text).digest('base64')}:`;
          const right =
            headers['record-count'] === String(items.length) &&
            headers['content-length'] === String(Buffer.byteLength(text)) &&
            headers['repr-digest'] === digest &&
            headers.vary === 'Accept';
          if (!right) wrong.push(`${path}: ${JSON.stringify(headers)}`);
        }
        exported += items.length;
      }
      expect(wrong).toEqual([]);
      expect(exported).toBeGreaterThan(who === 'of the other fleet' ? 5 : 60);
    },
  );

  it('tells another organisation nothing, and finds its ids like those that do not exist', async () => {
    const own = new Set(Object.values(mine.ids).filter((id) => /^[0-9a-f-]{36}$/.test(id)));
    const leaks: string[] = [];
    for (const { path, operation } of lists) {
      for (const accept of [CSV, NDJSON]) {
        const listed = await ask(urlOf(path, operation, theirs), accept, theirs.keys.administrator);
        const foreign = await ask(urlOf(path, operation, mine), accept, theirs.keys.administrator);
        if (listed.status !== 200) leaks.push(`${path}: ${listed.text}`);
        if (path.includes('{') && foreign.status !== 404) leaks.push(`${path}: ${foreign.status}`);
        for (const id of own) if (listed.text.includes(id)) leaks.push(`${path}: ${id}`);
      }
    }
    expect(leaks).toEqual([]);
  });

  it('keeps its filters', async () => {
    const key = mine.keys.administrator;
    const all = linesOf(await ask('/v1/vehicles', NDJSON, key));
    const one = linesOf(await ask('/v1/vehicles?externalKey=V2', NDJSON, key));
    expect(all.map(({ externalKey }) => externalKey)).toEqual(['V1', 'V2', 'V3']);
    expect(one.map(({ externalKey }) => externalKey)).toEqual(['V2']);
    expect((await ask('/v1/vehicles?fleetId=nonsense', CSV, key)).status).toBe(422);
  });

  it('has its header when it is empty', async () => {
    const { text, headers } = await ask(
      '/v1/vehicles?search=nothing-is-called-so',
      CSV,
      mine.keys.technician,
    );
    expect(text).toMatch(/^id,[\w,]*registrationMark[\w,]*\r\n$/);
    expect(headers['record-count']).toBe('0');
    expect(headers['content-disposition']).toBe('attachment; filename="vehicles.csv"');
  });
});

describe('what is asked for', () => {
  it.each([
    [undefined, 'application/json'],
    ['*/*', 'application/json'],
    ['text/csv', 'text/csv'],
    ['application/json;q=0.4, text/csv;q=0.5', 'text/csv'],
    ['application/x-ndjson, text/csv;q=0.5', 'application/x-ndjson'],
    ['application/json, text/csv', 'application/json'],
    ['text/html, */*;q=0.1', 'application/json'],
  ])('by Accept: %s is %s', async (accept, type) => {
    const headers: Record<string, string> = accept === undefined ? {} : { accept };
    const answer = await send(test, 'GET', '/v1/depots', { key: mine.keys.technician, headers });
    expect(answer.status).toBe(200);
    expect(answer.headers['content-type']?.split(';')[0]).toBe(type);
  });

  it.each([
    ['a page of it', '/v1/depots?limit=5', CSV, 422, 'limit'],
    ['the rest of it', '/v1/depots?cursor=x', CSV, 422, 'cursor'],
    ['a single record', '/v1/organisation', NDJSON, 406, undefined],
    ['the change feed', '/v1/changes', NDJSON, 406, undefined],
    ['the change feed as CSV', '/v1/changes', CSV, 406, undefined],
  ])('%s is not an export: a problem document', async (_, url, accept, status, parameter) => {
    const answer = await ask(url, accept, mine.keys.technician);
    const [error] = (answer.body.errors ?? []) as { parameter?: string }[];
    expect([answer.status, answer.headers['content-type'], error?.parameter]).toEqual([
      status,
      'application/problem+json; charset=utf-8',
      parameter,
    ]);
    expect(answer.headers['content-disposition']).toBeUndefined();
  });
});

describe('a long list', () => {
  const READINGS = 20_500;
  const spools = (): string[] => readdirSync(tmpdir()).filter((name) => name.startsWith('precharge-export-'));

  beforeAll(async () => {
    const organisation = await test.organisation('An operator of long lists');
    longKey = await addKey(test, organisation, 'dealer-system');
    await asOwner(
      test,
      organisation.organisationId,
      `WITH fleet AS (
        INSERT INTO fleets (organisation_id, name) VALUES ($1, 'all') RETURNING id
      ), depot AS (
        INSERT INTO depots (organisation_id, fleet_id, name, zone) SELECT $1, id, 'Upper Tarn', 'Europe/London' FROM fleet
          RETURNING id, fleet_id
      ), vehicle AS (
        INSERT INTO vehicles (organisation_id, fleet_id, depot_id, registration_mark, duty_class, odometer_unit)
          SELECT $1, fleet_id, id, '=cmd|''calc''!A1', 'normal', 'km' FROM depot RETURNING id, fleet_id
      )
      INSERT INTO odometer_readings (organisation_id, vehicle_id, fleet_id, meter, unit, value, read_at, source, state)
        SELECT $1, v.id, v.fleet_id, 'odometer', 'km', n, '2020-01-01Z'::timestamptz + n * interval '1 minute',
            'telematics', 'accepted'
          FROM vehicle v, generate_series(1, ${READINGS}) n`,
      [organisation.organisationId],
    );
  });

  it('is read page by page in one transaction, and sent in pieces', async () => {
    const { server, close } = await listening(test);
    try {
      const response = await fetch(`${server}/v1/odometer-readings`, {
        headers: { authorization: `Bearer ${longKey}`, accept: NDJSON },
      });
      expect(response.headers.get('record-count')).toBe(String(READINGS));
      let pieces = 0;
      let longest = 0;
      let text = '';
      for await (const piece of response.body as unknown as AsyncIterable<Uint8Array>) {
        pieces += 1;
        longest = Math.max(longest, piece.length);
        text += Buffer.from(piece).toString('latin1');
      }
      const values = new Set(
        text
          .trimEnd()
          .split('\n')
          .map((line) => (JSON.parse(line) as { value: number }).value),
      );
      expect(values.size).toBe(READINGS);
      expect(pieces).toBeGreaterThan(50);
      expect(longest).toBeLessThanOrEqual(1_048_576);
    } finally {
      await close();
    }
  });

  it('is safe to open in a spreadsheet', async () => {
    const { text } = await ask('/v1/vehicles', CSV, longKey);
    const [header = [], row = []]: string[][] = parse(text, { record_delimiter: '\r\n' });
    expect(row[header.indexOf('registrationMark')]).toBe(`'=cmd|'calc'!A1`);
    const { text: readings } = await ask('/v1/odometer-readings', CSV, longKey);
    expect(parse(readings, { record_delimiter: '\r\n' })).toHaveLength(READINGS + 1);
  });

  it('holds no transaction while its receiver takes nothing, and leaves nothing behind', async () => {
    const { server, close } = await listening(test);
    try {
      const response = await fetch(`${server}/v1/odometer-readings`, {
        headers: { authorization: `Bearer ${longKey}`, accept: CSV },
      });
      // the head has come, and the body is not read
      expect(response.status).toBe(200);
      const [open] = await asOwner<{ count: string }>(
        test,
        '',
        `SELECT count(*) FROM pg_stat_activity
          WHERE datname = current_database() AND usename = 'precharge_app' AND state LIKE 'idle in transaction%'`,
      );
      expect(open?.count).toBe('0');
      expect(spools()).toEqual([]);
      await response.body?.cancel();
    } finally {
      await close();
    }
    expect((await ask('/v1/odometer-readings', NDJSON, longKey)).status).toBe(200);
  });
});

describe('a receiver that goes away while its file is made', () => {
  it('ends the export at the page that is being read, and its transaction', async () => {
    const narrow = await startTestApp({ ...UNCOUNTED, poolSize: 4 }, { beside: test });
    const { server, close } = await listening(narrow);
    const blocker = new Client({ connectionString: test.database.ownerUrl });
    await blocker.connect();
    const sessions = async (state: string): Promise<number> => {
      const { rows } = await blocker.query<{ count: string }>(
        `SELECT count(*) FROM pg_stat_activity
          WHERE datname = current_database() AND usename = 'precharge_app' AND ${state}`,
      );
      return Number(rows[0]?.count);
    };
    try {
      const gone = new AbortController();
      const closed = new Promise<void>((resolve) => {
        narrow.app.getHttpServer().on('request', (_: unknown, response: ServerResponse) => {
          response.once('close', resolve);
        });
      });
      await blocker.query('BEGIN; LOCK TABLE odometer_readings IN ACCESS EXCLUSIVE MODE');
      const asked = fetch(`${server}/v1/odometer-readings`, {
        headers: { authorization: `Bearer ${longKey}`, accept: NDJSON },
        signal: gone.signal,
      });
      const refused = expect(asked).rejects.toMatchObject({ name: 'AbortError' });
      while ((await sessions(`wait_event_type = 'Lock'`)) === 0) await sleep(20);
      gone.abort();
      await refused;
      await closed;
      const { statements } = await countStatements(async () => {
        await blocker.query('COMMIT');
        while ((await sessions(`state <> 'idle'`)) > 0) await sleep(20);
      });
      // the whole list would have been more than a hundred pages
      expect(statements).toBeLessThan(10);
      // the only place for an export is free again, as soon as the file that was begun is gone
      const headers = { accept: NDJSON };
      const again = (): Promise<Sent> => send(narrow, 'GET', '/v1/vehicles', { key: longKey, headers });
      let answer = await again();
      for (; answer.status === 429; answer = await again()) await sleep(20);
      expect(answer.status).toBe(200);
    } finally {
      await blocker.end();
      await close();
      await narrow.close();
    }
  });
});

describe('limits', () => {
  it('of the size end in a problem document, not in half a file', async () => {
    const small = await startTestApp({ ...UNCOUNTED, exportLimitBytes: 1_024 }, { beside: test });
    try {
      const headers = { accept: NDJSON };
      const answer = await send(small, 'GET', '/v1/vehicles', { key: mine.keys.technician, headers });
      expect(answer).toMatchObject({ status: 422, body: { errors: [{ parameter: 'Accept' }] } });
      expect(answer.headers['record-count']).toBeUndefined();
      const few = await send(small, 'GET', '/v1/fleets', { key: mine.keys.technician, headers });
      expect(few.status).toBe(200);
    } finally {
      await small.close();
    }
  });

  it('of the time to make it end in a problem document', async () => {
    const hurried = await startTestApp({ ...UNCOUNTED, exportTimeLimitMs: 0 }, { beside: test });
    try {
      const headers = { accept: CSV };
      const answer = await send(hurried, 'GET', '/v1/odometer-readings', { key: longKey, headers });
      expect(answer).toMatchObject({ status: 503, body: { type: '/problems/unavailable' } });
      // a list of one page is whole when its time is up
      const few = await send(hurried, 'GET', '/v1/vehicles', { key: longKey, headers });
      expect(few).toMatchObject({ status: 200, headers: { 'record-count': '1' } });
    } finally {
      await hurried.close();
    }
  });

  it('of the number at a time are told with a time to wait, and end with the export', async () => {
    const narrow = await startTestApp({ ...UNCOUNTED, poolSize: 4 }, { beside: test });
    try {
      const export_ = (): Promise<Sent> =>
        send(narrow, 'GET', '/v1/vehicles', { key: mine.keys.technician, headers: { accept: CSV } });
      const answers = await Promise.all([export_(), export_(), export_()]);
      const statuses = answers.map(({ status }) => status).sort();
      expect(statuses[0]).toBe(200);
      expect(statuses[2]).toBe(429);
      const refused = answers.find(({ status }) => status === 429);
      expect(refused?.headers['retry-after']).toBe('5');
      expect((await export_()).status).toBe(200);
    } finally {
      await narrow.close();
    }
  });
});

/** The application on a port, for readers that take their time. */
async function listening({ app }: TestApp): Promise<{ server: string; close: () => Promise<void> }> {
  const proxy = app.getHttpServer();
  await new Promise<void>((resolve) => proxy.listen(0, '127.0.0.1', resolve));
  const { port } = proxy.address() as { port: number };
  const close = async (): Promise<void> => {
    proxy.closeAllConnections();
    await new Promise<void>((resolve) => proxy.close(() => resolve()));
  };
  return { server: `http://127.0.0.1:${port}`, close };
}
