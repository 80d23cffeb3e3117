import { randomUUID } from 'node:crypto';
import {
  guardedOperationsOf,
  isForSessionsOnly,
  readContract,
  type Operation,
} from '../support/contract-check';
import {
  bodySchemaOf,
  placesOf,
  pointerOf,
  schemaOf,
  type Place,
  type Schema,
} from '../support/contract-schemas';
import { organisationDigest } from '../support/organisation-digest';
import { requiredQuery } from '../support/required-query';
import { send, type Sent } from '../support/send';
import { faultsOf, placedIn } from '../support/spoilt-bodies';
import { startTestApp, type TestApp } from '../support/test-app';
import { validBodyOf } from '../support/valid-bodies';
import { addressOf, buildWorld, type World } from '../support/world';

// Generated from the contract: every field of every body, every parameter, spoilt in every way that its schema
// excludes. The refusal is a problem document (RFC 9457) that names the field (RFC 6901) and a remedy.

const contract = readContract();
const all = guardedOperationsOf(contract);
const writing = all.filter(({ operation }) => bodySchemaOf(contract, operation) !== null);

let test: TestApp;
let world: World;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 10_000_000 });
  world = await buildWorld(test, 'Tarn Valley Patient Transport');
});
afterAll(() => test.close());

/** An administrator: by session where no key is taken. */
const keyFor = (operation: Operation): string =>
  isForSessionsOnly(operation) ? world.person.session : world.keys.administrator;

const digest = () => organisationDigest(test, world.organisation.organisationId);

/** The ETag that a change needs: of the record at the address, or of the one that an action is about. */
async function etagFor(method: string, path: string, ids = world.ids): Promise<string> {
  const record = all.some((each) => each.method === 'GET' && each.path === path)
    ? path
    : path.replace(/\/[^/{}]+$/, '');
  const { headers } = await send(test, 'GET', addressOf(record, ids), {
    key: world.keys.administrator,
  });
  return headers.etag ?? '"r1"';
}

interface FieldError {
  pointer?: string;
  parameter?: string;
  detail: string;
  remedy: string;
}

const errorsOf = ({ body }: Sent): FieldError[] =>
  ((body as Sent['body'] | null)?.errors ?? []) as FieldError[];

const isRefusal = ({ status, headers }: Sent): boolean =>
  status >= 400 && status < 500 && headers['content-type']?.startsWith('application/problem+json') === true;

const hasRemedies = (answer: Sent): boolean =>
  errorsOf(answer).every(({ detail, remedy }) => detail.length > 3 && remedy.length > 3);

/** Whether a refusal names a field: the field itself or something in it, or the list that a value is in. */
function names(answer: Sent, path: readonly (string | number)[]): boolean {
  const pointer = pointerOf([...path]);
  const list = typeof path.at(-1) === 'number' ? pointerOf(path.slice(0, -1)) : pointer;
  return errorsOf(answer).some(
    ({ pointer: named = '' }) => named === pointer || named === list || named.startsWith(`${pointer}/`),
  );
}

describe.each(writing)('$operation.operationId', ({ method, path, operation }) => {
  it('refuses every spoilt field by its name, and stores nothing', async () => {
    const schema = bodySchemaOf(contract, operation)!;
    const body = validBodyOf(world, operation.operationId);
    const url = addressOf(path, world.ids);
    const key = keyFor(operation);
    const headers = { 'if-match': await etagFor(method, path) };
    const before = await digest();
    const wrong: string[] = [];
    let spoilt = 0;
    const root: Place = { path: [], schema, required: false };
    for (const place of [root, ...placesOf(schema)]) {
      for (const { what, text } of faultsOf(body, place)) {
        const answer = await send(test, method, url, { key, headers, body: text });
        spoilt += 1;
        const at = what === 'an unknown field' ? [...place.path, 'notAField'] : place.path;
        const named = place.path.length === 0 && at.length === 0 ? answer.status < 500 : names(answer, at);
        if (isRefusal(answer) && named && hasRemedies(answer)) continue;
        wrong.push(
          `${pointerOf(at)}, ${what}: ${answer.status} ${JSON.stringify(answer.body.errors ?? answer.text)}`,
        );
      }
    }
    expect(wrong).toEqual([]);
    expect(spoilt).toBeGreaterThan(5);
    expect(await digest()).toEqual(before);
  });
});

// deep enough to exhaust the stack of whoever walks through it by recursion
const NESTED = `{"rules":${'['.repeat(100_000)}${']'.repeat(100_000)}}`;
const NAMED = '{"severityByDutyClass":{"a\\u0000b":1}}';

describe('bodies as a whole', () => {
  it.each([
    '',
    '{',
    '{"a":1,}',
    'null',
    '[]',
    '"text"',
    '12',
    '{"__proto__":{"role":"administrator"}}',
    '{"toString":"x"}',
    '\u0000',
    NESTED,
    NAMED,
  ])('%.40s is refused everywhere', async (text) => {
    const before = await digest();
    const wrong: string[] = [];
    for (const { method, path, operation } of writing) {
      const repeatable: Record<string, string> = { 'idempotency-key': randomUUID() };
      for (const more of [{}, repeatable]) {
        const answer = await send(test, method, addressOf(path, world.ids), {
          key: keyFor(operation),
          headers: { 'if-match': '"r999"', ...more },
          body: text,
        });
        if (!isRefusal(answer)) wrong.push(`${method} ${path}: ${answer.status} ${answer.text}`);
      }
    }
    expect(wrong).toEqual([]);
    expect(await digest()).toEqual(before);
  });
});

it.each(['text/csv', 'application/x-www-form-urlencoded', 'text/plain', 'application/xml'])(
  'a body of the type %s is refused with 415 wherever JSON is taken',
  async (type) => {
    const wrong: string[] = [];
    for (const { method, path, operation } of writing) {
      const headers = { 'if-match': '"r999"', 'content-type': type };
      const asked = { key: keyFor(operation), headers, body: '{}' };
      const { status, body } = await send(test, method, addressOf(path, world.ids), asked);
      if (status !== 415 || body.type !== '/problems/unsupported-media-type')
        wrong.push(`${method} ${path}: ${status}`);
    }
    expect(wrong).toEqual([]);
  },
);

describe('parameters', () => {
  const idOf = (name: string): string => world.ids[name] ?? '';

  it('of the path are refused by name when they are no ids', async () => {
    const wrong: string[] = [];
    let asked = 0;
    for (const { method, path, operation } of all) {
      const inPath = [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name ?? '');
      for (const name of inPath) {
        for (const bad of [
          'x',
          '00000000-0000-0000-0000-00000000000g',
          `${idOf(name)}0`,
          'a'.repeat(5_000),
          '%00',
          "'%20OR%201=1",
        ]) {
          const url =
            addressOf(path, world.ids).replace(idOf(name), bad) +
            requiredQuery(contract, operation, world.ids);
          const answer = await ask(method, url, operation);
          asked += 1;
          const named = errorsOf(answer).some(({ parameter }) => parameter === name);
          if (answer.status !== 422 || !named || !hasRemedies(answer))
            wrong.push(`${method} ${url}: ${answer.status} ${answer.text}`);
        }
      }
    }
    expect(wrong).toEqual([]);
    expect(asked).toBeGreaterThan(100);
  });

  it('of the query are refused by name', async () => {
    const before = await digest();
    const wrong: string[] = [];
    let asked = 0;
    for (const { method, path, operation } of all) {
      const inQuery = (operation.parameters ?? []).filter((parameter) => parameter.in === 'query');
      const refuse = async (name: string, bad: string): Promise<void> => {
        const url = `${addressOf(path, world.ids)}?${new URLSearchParams({ [name]: bad }).toString()}`;
        const answer = await ask(method, url, operation);
        asked += 1;
        const named = errorsOf(answer).some(({ parameter }) => parameter === name);
        if (answer.status !== 422 || !named || !hasRemedies(answer))
          wrong.push(`${method} ${url.slice(0, 120)}: ${answer.status} ${answer.text}`);
      };
      for (const { name, schema } of inQuery) {
        for (const bad of badQueryValues(schemaOf(contract, schema))) await refuse(name, bad);
      }
      if (inQuery.length > 0) await refuse('notAParameter', '1');
    }
    expect(wrong).toEqual([]);
    expect(asked).toBeGreaterThan(150);
    expect(await digest()).toEqual(before);
  });

  it('If-Match is refused by name where it is no ETag of the record, and asked for where it is missing', async () => {
    const before = await digest();
    const wrong: string[] = [];
    for (const { method, path, operation } of all) {
      if (operation.parameters?.every(({ name }) => name !== 'If-Match') !== false) continue;
      for (const [value, status] of [
        ['r1', 422],
        ['W/"r1"', 422],
        ['*', 422],
        ['"r999999"', 412],
        [null, 428],
      ] as const) {
        const answer = await ask(method, addressOf(path, world.ids), operation, value);
        const named = status !== 422 || errorsOf(answer).some(({ parameter }) => parameter === 'If-Match');
        if (answer.status !== status || !named)
          wrong.push(`${method} ${path} ${value ?? ''}: ${answer.text}`);
      }
    }
    expect(wrong).toEqual([]);
    expect(await digest()).toEqual(before);
  });

  it('Idempotency-Key is refused by name where it is too short, too long or not printable', async () => {
    const before = await digest();
    const wrong: string[] = [];
    for (const { method, path, operation } of all) {
      if (operation.parameters?.every(({ name }) => name !== 'Idempotency-Key') !== false) continue;
      for (const value of ['short', 'a'.repeat(201), 'with a space', 'schlüssel']) {
        const { status, body, text } = await send(test, method, addressOf(path, world.ids), {
          key: world.keys.administrator,
          headers: { 'idempotency-key': value },
          ...bodyOf(operation),
        });
        const [error] = (body.errors ?? []) as FieldError[];
        if (status !== 422 || error?.parameter !== 'Idempotency-Key')
          wrong.push(`${method} ${path}: ${text}`);
      }
    }
    expect(wrong).toEqual([]);
    expect(await digest()).toEqual(before);
  });
});

describe('the bodies that were spoilt', () => {
  // last of all, because these requests do what they say; what ends a record comes after what changes it
  const last = [
    'ProgrammeVersions_publish',
    'TaskCompletions_void',
    'Bookings_arrive',
    'Bookings_start',
    'JobSheets_complete',
    'Bookings_collect',
    'Holds_lift',
  ];
  const inOrder = writing.toSorted(
    (a, b) => last.indexOf(a.operation.operationId) - last.indexOf(b.operation.operationId),
  );

  it.each(inOrder)(
    'are accepted as they are: $operation.operationId',
    async ({ method, path, operation }) => {
      const ids = { ...world.ids, ...world.idsOf[operation.operationId] };
      const answer = await send(test, method, addressOf(path, ids), {
        key: keyFor(operation),
        headers: { 'if-match': await etagFor(method, path, ids) },
        body: validBodyOf(world, operation.operationId),
      });
      expect([answer.status < 300, answer.text]).toEqual([true, answer.text]);
    },
  );
});

function bodyOf(operation: Operation): { body?: object } {
  return bodySchemaOf(contract, operation) === null
    ? {}
    : { body: validBodyOf(world, operation.operationId) };
}

function ask(
  method: string,
  url: string,
  operation: Operation,
  ifMatch: string | null = '"r999"',
): Promise<Sent> {
  return send(test, method, url, {
    key: keyFor(operation),
    headers: ifMatch === null ? {} : { 'if-match': ifMatch },
    ...bodyOf(operation),
  });
}

function badQueryValues(schema: Schema): string[] {
  const of = schema.items ?? schema;
  const bad: string[] = [];
  if (of.types.includes('integer'))
    bad.push(
      'x',
      '',
      '1.5',
      '0x10',
      '1e1',
      ' 1',
      String((of.minimum ?? 0) - 1),
      String((of.maximum ?? 0) + 1),
    );
  if (of.types.includes('boolean')) bad.push('yes', '1', '');
  if (of.format === 'uuid') bad.push('x', '');
  if (of.format === 'date') bad.push('2026-02-29', 'today');
  if (of.format === 'date-time') bad.push('2026-11-25T10:00:00', 'now');
  if (of.enum !== undefined) bad.push('no-such-value');
  else if (of.types.includes('string') && of.format === undefined) {
    if (of.maxLength !== undefined) bad.push('a'.repeat(of.maxLength + 1));
    if ((of.minLength ?? 0) > 0) bad.push('');
    bad.push('a\u0000b');
  }
  return bad;
}

it('a body can be spoilt at any place', () => {
  expect(placedIn({ a: [{ b: 1 }] }, ['a', 0, 'b'], 2)).toEqual({ a: [{ b: 2 }] });
  expect(placedIn({}, ['a', 0, 'b'], 2)).toEqual({ a: [{ b: 2 }] });
});
