import { readFileSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import { parse } from 'csv-parse/sync';
import { stringify } from 'csv-stringify/sync';
import { tarnValleyFleet } from '../../src/cli/demo/tarn-valley/tarn-valley-fleet';
import type { ImportKindsDto } from '../../src/modules/imports/dto/import-kind.dto';
import type { ImportDto, ImportLineDto } from '../../src/modules/imports/dto/import.dto';
import type { ImportKindName } from '../../src/modules/imports/import-kind';
import type { Config } from '../../src/platform/config/config';
import { CONFIG } from '../../src/platform/config/config.module';
import { startWork } from '../../src/work';
import { addKey } from '../support/api-client';
import { ImportClient } from '../support/import-client';
import { Operator } from '../support/operator';
import { recordsDigest } from '../support/organisation-digest';
import { startTestApp, type TestApp } from '../support/test-app';

jest.setTimeout(300_000);

const MEBIBYTE = 1_048_576;

let test: TestApp;
let address: string;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 1_000_000 });
  await test.app.listen(0, '127.0.0.1');
  address = `http://127.0.0.1:${(test.app.getHttpServer().address() as AddressInfo).port}`;
  await startWork(test.app);
});
afterAll(() => test.close());

const VEHICLE_HEADER = 'externalKey,depotKey,registrationMark,dutyClass,odometerUnit';
const vehicleLine = (key: string): string => `${key},D1,REG ${key},standard,km`;
const vehicleFile = (...lines: string[]): string => [VEHICLE_HEADER, ...lines, ''].join('\n');

/** An operator with one fleet and one depot, whose keys are `F1` and `D1`. */
async function operator(name: string): Promise<{ owner: Operator; files: ImportClient; fleetId: string }> {
  const owner = await Operator.of(test, name);
  const fleet = await owner.admin.ok<{ id: string }>('post', '/v1/fleets', {
    body: { name, externalKey: 'F1' },
  });
  await owner.admin.ok('post', '/v1/depots', {
    body: { fleetId: fleet.id, name, externalKey: 'D1', zone: 'Europe/London' },
  });
  return { owner, files: new ImportClient(address, owner.organisation.administratorKey), fleetId: fleet.id };
}

/** Digests of all that an import is about; its own report and the audit of handing it over are no part of it. */
const recordsOf = (owner: Operator): Promise<Record<string, string>> =>
  recordsDigest(test, owner.organisationId);

const outcomes = (lines: readonly ImportLineDto[]): unknown[] =>
  lines.map(({ lineNumber, outcome }) => [lineNumber, outcome]);

function expectToAddUp(record: ImportDto, lines: readonly ImportLineDto[]): void {
  const count = (...wanted: string[]): number =>
    lines.filter(({ outcome }) => wanted.includes(outcome)).length;
  expect(record).toMatchObject({
    linesCreated: count('created', 'quarantined'),
    linesUpdated: count('updated'),
    linesUnchanged: count('unchanged'),
    linesRejected: count('rejected'),
  });
  const { linesCreated, linesUpdated, linesUnchanged, linesRejected } = record;
  expect(linesCreated + linesUpdated + linesUnchanged + linesRejected).toBe(lines.length);
}

describe('the files of Tarn Valley', () => {
  const demo = tarnValleyFleet({ seed: 1, todayOn: '2026-11-25' });
  const kindOf = (file: string): ImportKindName => file.replace('.csv', '') as ImportKindName;
  let owner: Operator;
  let files: ImportClient;

  beforeAll(async () => {
    owner = await Operator.of(test, demo.fleet.name);
    files = new ImportClient(address, owner.organisation.administratorKey);
    const fleet = await owner.admin.ok<{ id: string }>('post', '/v1/fleets', { body: demo.fleet });
    for (const depot of demo.depots) {
      await owner.admin.ok('post', '/v1/depots', { body: { ...depot, fleetId: fleet.id } });
    }
  });

  it.each(demo.files.map(({ name }) => name))(
    '%s: tried out first, then stored with the same report',
    async (name) => {
      const file = demo.files.find((one) => one.name === name)!;
      const before = await recordsOf(owner);
      const trial = await files.run(kindOf(name), file.text, { dryRun: true });
      expect(trial).toMatchObject({ state: 'finished', failure: null, dryRun: true });
      expect(await recordsOf(owner)).toEqual(before);

      const seen: ImportDto[] = [];
      const { id } = await files.start(kindOf(name), file.text);
      const done = await files.ended(id, (progress) => seen.push(progress));
      const bytes = Buffer.byteLength(file.text);
      expect(done).toMatchObject({ state: 'finished', failure: null, byteCount: bytes, bytesRead: bytes });
      const [trialLines, lines] = [await files.lines(trial.id), await files.lines(id)];
      expect(lines.length).toBe(file.rows);
      expect(lines.map(({ lineNumber, outcome, errors }) => ({ lineNumber, outcome, errors }))).toEqual(
        trialLines.map(({ lineNumber, outcome, errors }) => ({ lineNumber, outcome, errors })),
      );
      for (const record of [trial, done]) expectToAddUp(record, lines);
      expect(done.linesCreated).toBeGreaterThan(0);

      // what was seen on the way only ever grew
      const steps = seen.map(({ bytesRead, linesRead, revision }) => [bytesRead, linesRead, revision]);
      for (const column of [0, 1, 2]) {
        const values = steps.map((step) => step[column]!);
        expect(values).toEqual([...values].sort((a, b) => a - b));
      }
      // a trial names no record that does not exist
      const named = trialLines.filter(
        ({ outcome, subjectId }) => outcome === 'created' && subjectId !== null,
      );
      expect(named).toEqual([]);
      expect(lines.filter(({ outcome, subjectId }) => outcome === 'created' && subjectId === null)).toEqual(
        [],
      );
    },
  );

  it('the lines that could not be used are those with the faults that were planted', async () => {
    const { items } = await files.json<{ items: ImportDto[] }>('/v1/imports?limit=100');
    const readings = items.find(({ kind, dryRun }) => kind === 'odometer-readings' && !dryRun)!;
    const lines = await files.lines(readings.id);
    const rejected = lines
      .filter(({ outcome }) => outcome === 'rejected')
      .map(({ lineNumber }) => lineNumber);
    const unusable = demo.truth.faults.filter(({ fault }) =>
      ['wrong-column-count', 'bare-quote'].includes(fault),
    );
    expect(unusable.length).toBeGreaterThan(0);
    expect(rejected).toEqual(expect.arrayContaining(unusable.map(({ line }) => line)));
    for (const line of lines.filter(({ outcome }) => outcome === 'rejected')) {
      expect(line.errors.length).toBeGreaterThan(0);
      for (const { detail, remedy } of line.errors) expect([detail, remedy]).not.toContain('');
    }
  });

  it('the same files again, and in another order of lines, change nothing', async () => {
    const before = await recordsOf(owner);
    for (const file of demo.files) {
      const again = await files.run(kindOf(file.name), file.text);
      const lines = await files.lines(again.id);
      expectToAddUp(again, lines);
      const others = lines.filter(({ outcome }) => outcome !== 'unchanged' && outcome !== 'rejected');
      expect([file.name, again.state, others]).toEqual([file.name, 'finished', []]);
      expect(lines.length).toBe(file.rows);
    }
    expect(await recordsOf(owner)).toEqual(before);
  });
});

describe('lines that are no records', () => {
  let owner: Operator;
  let files: ImportClient;
  beforeAll(async () => {
    ({ owner, files } = await operator('Malformed Files'));
  });

  const registered = async (prefix: string): Promise<string[]> =>
    (
      await owner.sql<{ key: string }>(
        `SELECT external_key AS key FROM vehicles WHERE organisation_id = $1 AND external_key LIKE $2 ORDER BY 1`,
        [owner.organisationId, `${prefix}-%`],
      )
    ).map(({ key }) => key);

  const tooLong = Buffer.alloc(50 * MEBIBYTE, 0x78);
  it.each<[string, (key: (n: number) => string) => string | Buffer, [number, string][], string[]]>([
    [
      'a bare quote',
      (key) => vehicleFile(vehicleLine(key(1)), `${key(2)},D1,RE"G,standard,km`, vehicleLine(key(3))),
      [
        [2, 'created'],
        [3, 'rejected'],
        [4, 'created'],
      ],
      ['quote'],
    ],
    [
      'a quote that is never closed',
      (key) => vehicleFile(`${key(1)},D1,"REG,standard,km`, vehicleLine(key(2)), vehicleLine(key(3))),
      [
        [2, 'rejected'],
        [3, 'created'],
        [4, 'created'],
      ],
      ['quote'],
    ],
    [
      'a field too few and one too many',
      (key) => vehicleFile(`${key(1)},D1,REG,standard`, `${vehicleLine(key(2))},more`, vehicleLine(key(3))),
      [
        [2, 'rejected'],
        [3, 'rejected'],
        [4, 'created'],
      ],
      ['4 fields', '6'],
    ],
    [
      'a byte order mark and CRLF',
      (key) => `\ufeff${VEHICLE_HEADER}\r\n${vehicleLine(key(1))}\r\n${vehicleLine(key(2))}\r\n`,
      [
        [2, 'created'],
        [3, 'created'],
      ],
      [],
    ],
    [
      'both line ends, empty lines and no line end after the last',
      (key) => `${VEHICLE_HEADER}\n\n${vehicleLine(key(1))}\r\n\n${vehicleLine(key(2))}`,
      [
        [3, 'created'],
        [5, 'created'],
      ],
      [],
    ],
    [
      'a line break, a comma and quotes inside quotes',
      (key) => vehicleFile(`"${key(1)}",D1,"R, ""1""\n2",standard,km`, vehicleLine(key(2))),
      [
        [2, 'created'],
        [4, 'created'],
      ],
      [],
    ],
    [
      'a line of 50 MB',
      (key) =>
        Buffer.concat([
          Buffer.from(vehicleFile(vehicleLine(key(1)))),
          tooLong,
          Buffer.from(`\n${vehicleLine(key(2))}\n`),
        ]),
      [
        [2, 'created'],
        [3, 'rejected'],
        [4, 'created'],
      ],
      ['longer than'],
    ],
    [
      'a line in Latin-1',
      (key) =>
        Buffer.concat([
          Buffer.from(vehicleFile(vehicleLine(key(1)))),
          Buffer.from(`${key(2)},D1,R\u00c9G 2,standard,km\n`, 'latin1'),
          Buffer.from(`${key(3)},D1,R\u00c9G 3,standard,km\n`),
        ]),
      [
        [2, 'created'],
        [3, 'rejected'],
        [4, 'created'],
      ],
      ['UTF-8'],
    ],
    [
      'the header again further down, as in files that were joined',
      (key) => vehicleFile(vehicleLine(key(1)), VEHICLE_HEADER, vehicleLine(key(2))),
      [
        [2, 'created'],
        [3, 'rejected'],
        [4, 'created'],
      ],
      ['odometerUnit'],
    ],
    [
      'fields that say nothing of use',
      (key) =>
        vehicleFile(
          `${key(1)},D9,REG,standard,km`,
          `${key(2)},D1,,standard,km`,
          `${key(3)},D1,REG,standard,ft`,
        ),
      [
        [2, 'rejected'],
        [3, 'rejected'],
        [4, 'rejected'],
      ],
      ['no depot with the key "D9"', 'registrationMark', 'odometerUnit'],
    ],
  ])('%s', async (name, make, expected, words) => {
    const prefix = name.replaceAll(/[^a-z]/g, '').slice(0, 8);
    const done = await files.run(
      'vehicles',
      make((n) => `${prefix}-${n}`),
    );
    const lines = await files.lines(done.id);
    expect([done.state, done.failure]).toEqual(['finished', null]);
    expect(outcomes(lines)).toEqual(expected);
    expectToAddUp(done, lines);
    const problems = JSON.stringify(lines.flatMap(({ errors }) => errors)).replaceAll('\\"', '"');
    for (const word of words) expect(problems).toContain(word);
    expect((await registered(prefix)).length).toBe(done.linesCreated);
    expect(done.bytesRead).toBe(done.byteCount);
  });

  it.each<[string, string | Buffer, RegExp]>([
    [
      'unknown columns',
      `${VEHICLE_HEADER},colour,wheels\nx,D1,REG,standard,km,red,4\n`,
      /unknown columns: colour, wheels\. Known are: externalKey/,
    ],
    ['missing columns', 'externalKey,registrationMark,odometerUnit\nx,REG,km\n', /lacks depotKey, dutyClass/],
    [
      'a column that is named twice',
      `${VEHICLE_HEADER},dutyClass\nx,D1,REG,standard,km,standard\n`,
      /"dutyClass" twice/,
    ],
    ['a header in quotes that do not end', `"externalKey,depotKey\nx,D1\n`, /first line cannot be read/],
    [
      'a file in UTF-16',
      Buffer.from(`\ufeff${VEHICLE_HEADER}\n`, 'utf16le'),
      /first line cannot be read: .*UTF-8/,
    ],
    ['a first line of 2 MB', Buffer.alloc(2 * MEBIBYTE, 0x78), /first line cannot be read: .*longer/],
    ['nothing but empty lines', '\n\r\n\n', /is empty/],
    ['nothing at all', '', /is empty/],
    ['a picture', Buffer.from('89504e470d0a1a0a0000000d49484452', 'hex'), /first line cannot be read/],
  ])('a file is refused as a whole for %s', async (_, text, failure) => {
    const before = await recordsOf(owner);
    const done = await files.run('vehicles', text);
    expect(done).toMatchObject({ state: 'failed', linesRead: 0, linesCreated: 0, linesRejected: 0 });
    expect(done.failure).toMatch(failure);
    expect(await files.lines(done.id)).toEqual([]);
    expect(await recordsOf(owner)).toEqual(before);
  });

  it('a header alone is a file without lines', async () => {
    const done = await files.run('vehicles', VEHICLE_HEADER);
    expect(done).toMatchObject({ state: 'finished', failure: null, linesCreated: 0, linesRejected: 0 });
    expect((await files.rejects(done.id)).trim()).toBe(`${VEHICLE_HEADER},problem`);
  });
});

describe('the file of rejects', () => {
  it('is corrected and handed over again; what was good before stays as it is', async () => {
    const { files } = await operator('Rejects');
    const file = vehicleFile(
      vehicleLine('V1'),
      'V2,D1,"REG, 2",standard,leagues',
      'V3,D7,REG 3,standard,km',
      'V4,D1,REG "4,standard,km',
      `"V5\nwith a break",D1,,standard,km`,
    );
    const first = await files.run('vehicles', file);
    expect(first).toMatchObject({ linesCreated: 1, linesRejected: 4 });
    const response = await files.request('GET', `/v1/imports/${first.id}/rejects`);
    expect(response.headers.get('content-type')).toContain('text/csv');
    const text = await response.text();
    expect(text.split('\r\n').length).toBeGreaterThanOrEqual(6);
    const rows = parse<Record<string, string>>(text, { columns: true });
    expect(rows.map(({ externalKey }) => externalKey)).toEqual([
      'V2',
      'V3',
      'V4,D1,REG "4,standard,km',
      'V5\nwith a break',
    ]);
    for (const { problem } of rows) expect(problem).toMatch(/^line \d+: /);
    expect(rows.map(({ problem }) => /line (\d+)/.exec(problem!)![1])).toEqual(['3', '4', '5', '6']);

    // as they are, they are refused for the same reasons
    const unchanged = await files.run('vehicles', text);
    expect(unchanged).toMatchObject({ linesCreated: 0, linesRejected: 4 });
    const again = parse<Record<string, string>>(await files.rejects(unchanged.id), { columns: true });
    expect(again.map(({ externalKey }) => externalKey)).toEqual(rows.map(({ externalKey }) => externalKey));

    const mended = rows.map((row, index) => ({
      ...row,
      ...[
        { odometerUnit: 'mi' },
        { depotKey: 'D1' },
        {
          externalKey: 'V4',
          depotKey: 'D1',
          registrationMark: 'REG 4',
          dutyClass: 'standard',
          odometerUnit: 'km',
        },
        { registrationMark: 'REG 5' },
      ][index],
    }));
    const second = await files.run('vehicles', stringify(mended, { header: true }));
    expect(second).toMatchObject({ linesCreated: 4, linesRejected: 0 });
    expect((await files.rejects(second.id)).split('\r\n')[0]).toBe(`${VEHICLE_HEADER},problem`);
  });

  it('guards cells against spreadsheets, and takes its own guard off again', async () => {
    const { owner, files } = await operator('Formulas');
    const notes = [
      '=1+1',
      '+tow bar',
      '-5 in the yard',
      '@foreman',
      '\uff1dwide',
      "it's",
      "'quoted'",
      '\ttab first',
    ];
    const rows = notes.map((note, index) => [`@V${index}`, '2025-01-01', 'rough-road', note]);
    const file = stringify([['vehicleKey', 'fromOn', 'dutyClass', 'note'], ...rows]);
    const first = await files.run('duty-changes', file);
    expect(first).toMatchObject({ linesCreated: 0, linesRejected: notes.length });
    const rejects = await files.rejects(first.id);
    const rejected: string[][] = parse(rejects, { from: 2 });
    const cells = rejected.flat();
    // OWASP, "CSV Injection": a cell that begins with one of these is run by spreadsheets
    for (const cell of cells) expect(cell).not.toMatch(/^[=+\-@\t\r]/);

    await files.run('vehicles', vehicleFile(...notes.map((_, index) => vehicleLine(`@V${index}`))));
    const second = await files.run('duty-changes', rejects);
    expect(second).toMatchObject({ linesCreated: notes.length, linesRejected: 0 });
    const stored = await owner.sql<{ note: string }>(
      `SELECT d.note FROM duty_changes d JOIN vehicles v ON v.id = d.vehicle_id WHERE d.organisation_id = $1 ORDER BY v.external_key`,
      [owner.organisationId],
    );
    expect(stored.map(({ note }) => note)).toEqual(notes.map((note) => note.trim()));
    // and the first file says what is known
    expect(await files.run('duty-changes', file)).toMatchObject({ linesUnchanged: notes.length });
  });
});

describe('handing a file over', () => {
  let owner: Operator;
  let files: ImportClient;
  let fleetId: string;
  beforeAll(async () => {
    ({ owner, files, fleetId } = await operator('Handing Over'));
  });

  const problemOf = async (response: Response): Promise<[number, string]> => {
    expect(response.headers.get('content-type')).toContain('application/problem+json');
    return [response.status, ((await response.json()) as { type: string }).type];
  };

  it('takes as many bytes as are allowed and not one more', async () => {
    const config = test.app.get<Config>(CONFIG);
    const allowed = config.importLimitBytes;
    const file = vehicleFile(vehicleLine('L1'));
    try {
      for (const padding of [0, 700_000]) {
        const padded = Buffer.from(file + '\n'.repeat(padding));
        config.importLimitBytes = padded.length;
        expect(await files.run('vehicles', padded)).toMatchObject({
          state: 'finished',
          byteCount: padded.length,
        });
        config.importLimitBytes = padded.length - 1;
        expect(await problemOf(await files.upload('vehicles', padded))).toEqual([
          413,
          '/problems/payload-too-large',
        ]);
        const { items } = await files.json<{ items: ImportDto[] }>('/v1/imports?limit=1');
        expect(items[0]).toMatchObject({ state: 'failed' });
      }
    } finally {
      config.importLimitBytes = allowed;
    }
    const left = await owner.sql('SELECT FROM import_chunks WHERE organisation_id = $1', [
      owner.organisationId,
    ]);
    expect(left).toEqual([]);
  });

  it.each([
    ['application/json', '{}', 422],
    ['application/xml', '<x/>', 415],
    ['text/plain', 'x', 415],
    ['multipart/form-data; boundary=x', '--x--', 415],
  ])('refuses a body of type %s (%j)', async (contentType, body, status) => {
    const before = (await files.json<{ items: unknown[] }>('/v1/imports?limit=500')).items.length;
    const response = await files.upload('vehicles', body, { headers: { 'content-type': contentType } });
    expect((await problemOf(response))[0]).toBe(status);
    expect((await files.json<{ items: unknown[] }>('/v1/imports?limit=500')).items.length).toBe(before);
  });

  it('accepts a type with a character set', async () => {
    const headers = { 'content-type': 'text/csv; charset=utf-8' };
    expect(await files.run('vehicles', vehicleFile(), { headers })).toMatchObject({ state: 'finished' });
  });

  it('takes no notice of an Idempotency-Key: a repetition is harmless by itself', async () => {
    const headers = { 'idempotency-key': 'the-same-file-twice' };
    const results: ImportDto[] = [];
    for (let time = 0; time < 2; time++)
      results.push(await files.run('vehicles', vehicleFile(vehicleLine('I1')), { headers }));
    expect(results.map(({ linesCreated, linesUnchanged }) => [linesCreated, linesUnchanged])).toEqual([
      [1, 0],
      [0, 1],
    ]);
  });

  it.each(['?dryRun=true', '?kind=birds', '?kind=vehicles&dryRun=perhaps', '?kind=vehicles&colour=red'])(
    'refuses the query %s',
    async (query) => {
      const response = await files.request('POST', `/v1/imports${query}`, {
        body: vehicleFile(),
        headers: { 'content-type': 'text/csv' },
      });
      expect(await problemOf(response)).toEqual([422, '/problems/validation-failed']);
    },
  );

  it('keeps nothing of an upload that breaks off', async () => {
    const broken = new ReadableStream<Uint8Array>({
      start: (controller) => controller.enqueue(Buffer.from(vehicleFile(vehicleLine('B1')))),
      pull: async (controller) => {
        await sleep(200);
        controller.error(new Error('the network is gone'));
      },
    });
    await expect(files.upload('vehicles', broken)).rejects.toThrow();
    let state = '';
    for (let attempt = 0; attempt < 200 && state !== 'failed'; attempt++) {
      const { items } = await files.json<{ items: ImportDto[] }>('/v1/imports?limit=1');
      state = items[0]!.state;
      await sleep(50);
    }
    expect(state).toBe('failed');
    expect(
      await owner.sql(`SELECT FROM import_chunks WHERE organisation_id = $1`, [owner.organisationId]),
    ).toEqual([]);
    expect(await owner.sql(`SELECT FROM vehicles WHERE external_key = 'B1'`)).toEqual([]);
  });

  it('is not for technicians', async () => {
    const key = await addKey(test, owner.organisation, 'technician');
    const response = await new ImportClient(address, key).upload('vehicles', vehicleFile());
    expect(await problemOf(response)).toEqual([403, '/problems/forbidden']);
  });

  it('an import of somebody else is not there', async () => {
    const done = await files.run('vehicles', vehicleFile('broken'));
    const stranger = (await operator('Strangers')).files;
    for (const [method, path] of [
      ['GET', ''],
      ['GET', '/lines'],
      ['GET', '/rejects'],
      ['POST', '/cancel'],
    ] as const) {
      const headers: Record<string, string> = method === 'POST' ? { 'if-match': `"r${done.revision}"` } : {};
      const response = await stranger.request(method, `/v1/imports/${done.id}${path}`, { headers });
      expect([path, ...(await problemOf(response))]).toEqual([path, 404, '/problems/not-found']);
    }
    const { items } = await stranger.json<{ items: ImportDto[] }>('/v1/imports');
    expect(items).toEqual([]);
  });

  it('a key for some fleets writes nothing of other fleets, by whatever key it names them', async () => {
    const other = await owner.admin.ok<{ id: string }>('post', '/v1/fleets', {
      body: { name: 'other', externalKey: 'F2' },
    });
    await owner.admin.ok('post', '/v1/depots', {
      body: { fleetId: other.id, name: 'other', externalKey: 'D2', zone: 'Europe/London' },
    });
    await files.run(
      'vehicles',
      `${VEHICLE_HEADER}\nTHEIRS,D2,REG 9,standard,km\nOURS,D1,REG 8,standard,km\n`,
    );
    const scoped = new ImportClient(
      address,
      await addKey(test, owner.organisation, 'fleet-planner', [fleetId]),
    );
    const before = await recordsOf(owner);

    const vehicles = await scoped.run(
      'vehicles',
      `${VEHICLE_HEADER}\nTHEIRS,D2,STOLEN,standard,km\nTHEIRS,D1,STOLEN,standard,km\nNEW,D2,NEW,standard,km\nOURS,D2,REG 8,standard,km\n`,
    );
    expect(outcomes(await scoped.lines(vehicles.id))).toEqual([2, 3, 4, 5].map((line) => [line, 'rejected']));
    const perVehicle: [ImportKindName, string][] = [
      [
        'odometer-readings',
        'vehicleKey,readAt,source,value,unit\nTHEIRS,2026-01-01T10:00:00Z,workshop,1000,km\n',
      ],
      ['duty-changes', 'vehicleKey,fromOn,dutyClass\nTHEIRS,2026-01-01,rough-road\n'],
      ['off-road-periods', 'vehicleKey,fromOn,untilOn,reason\nTHEIRS,2026-01-01,2026-02-01,x\n'],
      ['service-history', 'vehicleKey,task,doneOn\nTHEIRS,fluid-change,2026-01-01\n'],
      ['hydraulic-layouts', 'vehicleKey,pumpKind\nTHEIRS,piston\n'],
      [
        'odometer-replacements',
        'vehicleKey,replacedAt,oldFinalValue,newInitialValue\nTHEIRS,2026-01-01T10:00:00Z,9,0\n',
      ],
    ];
    for (const [kind, text] of perVehicle) {
      const done = await scoped.run(kind, text);
      expect([kind, outcomes(await scoped.lines(done.id))]).toEqual([kind, [[2, 'rejected']]]);
    }
    expect(await recordsOf(owner)).toEqual({ ...before, api_keys: expect.anything() as string });
    // what others handed over may speak of vehicles that this key does not see
    const { items } = await scoped.json<{ items: ImportDto[] }>('/v1/imports?limit=500');
    expect(items.length).toBe(1 + perVehicle.length);
  });

  it('a key that is revoked while its file waits stores nothing more', async () => {
    const key = await addKey(test, owner.organisation, 'dealer-system');
    const started = await new ImportClient(address, key).start(
      'vehicles',
      vehicleFile(...Array.from({ length: 3_000 }, (_, n) => vehicleLine(`K${n}`))),
    );
    await owner.sql(
      `UPDATE api_keys SET revoked_at = now() WHERE organisation_id = $1 AND role = 'dealer-system'`,
      [owner.organisationId],
    );
    const done = await files.ended(started.id);
    expect(done.state).toBe('failed');
    expect(done.failure).toContain('revoked');
    const stored = await owner.sql(
      `SELECT FROM vehicles WHERE external_key LIKE 'K%' AND organisation_id = $1`,
      [owner.organisationId],
    );
    expect(stored.length).toBe(done.linesCreated);
  });
});

describe('cancelling', () => {
  const VEHICLES = 200;
  const LINES = 20_000;

  it('stops a running import between two batches; handed over again, it goes on where it stopped', async () => {
    const { owner, files } = await operator('Cancelled');
    await files.run(
      'vehicles',
      vehicleFile(...Array.from({ length: VEHICLES }, (_, n) => vehicleLine(`V${n}`))),
    );
    const start = Date.parse('2024-01-01T00:00:00Z');
    const reading = (n: number): string => {
      const round = Math.floor(n / VEHICLES);
      const readAt = new Date(start + round * 86_400_000).toISOString();
      return `V${n % VEHICLES},${readAt},telematics,${round * 40},km`;
    };
    const file = [
      'vehicleKey,readAt,source,value,unit',
      ...Array.from({ length: LINES }, (_, n) => reading(n)),
      '',
    ].join('\n');
    const { id } = await files.start('odometer-readings', file);
    const read = (): Promise<ImportDto> => files.json<ImportDto>(`/v1/imports/${id}`);
    while ((await read()).linesRead === 0) await sleep(10);
    const cancel = (headers: Record<string, string>): Promise<Response> =>
      files.request('POST', `/v1/imports/${id}/cancel`, { headers });
    expect((await cancel({})).status).toBe(428);
    expect((await cancel({ 'if-match': '"r1"' })).status).toBe(412);
    // the revision moves with every batch
    let answer: Response;
    do {
      const { state, revision } = await read();
      expect(state).toBe('running');
      answer = await cancel({ 'if-match': `"r${revision}"` });
    } while (answer.status === 412);
    expect(answer.status).toBe(200);
    const cancelled = (await answer.json()) as ImportDto;
    expect(cancelled.state).toBe('cancelled');
    expect(cancelled.linesRead).toBeLessThan(LINES);

    await sleep(1_000);
    expect(await read()).toEqual(cancelled);
    expectToAddUp(cancelled, await files.lines(id));
    const stored = async (): Promise<number> =>
      (await owner.sql('SELECT FROM odometer_readings WHERE organisation_id = $1', [owner.organisationId]))
        .length;
    expect(await stored()).toBe(cancelled.linesCreated);
    expect((await cancel({ 'if-match': `"r${cancelled.revision}"` })).status).toBe(409);

    const again = await files.run('odometer-readings', file);
    expect(again).toMatchObject({
      state: 'finished',
      linesUnchanged: cancelled.linesCreated,
      linesCreated: LINES - cancelled.linesCreated,
      linesRejected: 0,
    });
    expect(await stored()).toBe(LINES);
  });
});

it('tells the columns of every kind of file as the documentation does', async () => {
  const { owner } = await operator('Kinds of files');
  const { items } = await owner.admin.ok<ImportKindsDto>('get', '/v1/import-kinds');
  const documented = documentedKinds();
  expect(items.map(({ kind }) => kind).sort()).toEqual(Object.keys(documented).sort());
  for (const { kind, columns } of items) {
    const { needed = [], known = [] } = documented[kind] ?? {};
    const required = columns.filter((column) => column.required).map(({ name }) => name);
    expect([kind, required.sort()]).toEqual([kind, needed]);
    expect(columns.map(({ name }) => name)).toEqual(expect.arrayContaining(known));
  }
});

/** The table of kinds in docs/bulk-import.md; some fields of its rows are told in words, which are passed over. */
function documentedKinds(): Record<string, { needed: string[]; known: string[] }> {
  const table = readFileSync('docs/bulk-import.md', 'utf8').split('\n## Kinds\n')[1] ?? '';
  return Object.fromEntries(
    [...table.matchAll(/^\| `([a-z-]+)` +\| ([^|]+)\|/gm)].map(([, kind = '', text = '']) => {
      const fields = (text.split(';')[0] ?? '')
        .split(',')
        .map((field) =>
          field
            .trim()
            .replace(/ \(.*\)$/, '')
            .replaceAll('_', ''),
        )
        .filter((field) => /^[a-zA-Z]+\*?$/.test(field));
      const names = (some: readonly string[]) => some.map((field) => field.replace('*', '')).sort();
      return [kind, { needed: names(fields.filter((field) => field.endsWith('*'))), known: names(fields) }];
    }),
  );
}
