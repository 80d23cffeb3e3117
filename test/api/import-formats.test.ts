import type { AddressInfo } from 'node:net';
import { parse } from 'csv-parse/sync';
import { tarnValleyFleet } from '../../src/cli/demo/tarn-valley/tarn-valley-fleet';
import { ImportRunnerService } from '../../src/modules/imports/import-runner.service';
import { ImportBatchService } from '../../src/modules/imports/import-batch.service';
import type { ImportDto, ImportLineDto } from '../../src/modules/imports/dto/import.dto';
import type { ImportKindName } from '../../src/modules/imports/import-kind';
import { startWork } from '../../src/work';
import { ImportClient } from '../support/import-client';
import { Operator } from '../support/operator';
import { recordsDigest } from '../support/organisation-digest';
import { startTestApp, type TestApp } from '../support/test-app';

jest.setTimeout(300_000);

let test: TestApp;
let address: string;
beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 1_000_000 });
  await test.app.listen(0, '127.0.0.1');
  address = `http://127.0.0.1:${(test.app.getHttpServer().address() as AddressInfo).port}`;
  await startWork(test.app);
});
afterAll(() => test.close());

const NDJSON = { format: 'ndjson' } as const;

async function operator(name: string): Promise<{ owner: Operator; files: ImportClient }> {
  const owner = await Operator.of(test, name);
  const fleet = await owner.admin.ok<{ id: string }>('post', '/v1/fleets', {
    body: { name, externalKey: 'F1' },
  });
  await owner.admin.ok('post', '/v1/depots', {
    body: { fleetId: fleet.id, name, externalKey: 'D1', zone: 'Europe/London' },
  });
  return { owner, files: new ImportClient(address, owner.organisation.administratorKey) };
}

const vehicle = (externalKey: string, more: object = {}): Record<string, unknown> => ({
  externalKey,
  depotKey: 'D1',
  registrationMark: `REG ${externalKey}`,
  dutyClass: 'standard',
  odometerUnit: 'km',
  ...more,
});
const lines = (...records: unknown[]): string => `${records.map((one) => JSON.stringify(one)).join('\n')}\n`;
const matching = (pattern: RegExp): string => expect.stringMatching(pattern) as string;
const outcomes = (found: readonly ImportLineDto[]): unknown[] =>
  found.map(({ lineNumber, outcome }) => [lineNumber, outcome]);
const problems = (found: readonly ImportLineDto[]): unknown[] =>
  found.flatMap(({ lineNumber, errors }) =>
    errors.map(({ pointer, detail }) => [lineNumber, pointer, detail]),
  );

describe('objects on lines', () => {
  let owner: Operator;
  let files: ImportClient;
  beforeAll(async () => {
    ({ owner, files } = await operator('Lines'));
  });

  it.each<[string, (key: (n: number) => string) => string | Buffer, [number, string][], string[]]>([
    [
      'a byte order mark, CRLF, empty lines and no end of the last line',
      (key) =>
        `\ufeff${JSON.stringify(vehicle(key(1)))}\r\n\r\n \n${JSON.stringify(vehicle(key(2)))}\n${JSON.stringify(vehicle(key(3)))}`,
      [
        [1, 'created'],
        [4, 'created'],
        [5, 'created'],
      ],
      [],
    ],
    [
      'a line that ends too early, one that is a list and one with a name twice',
      (key) =>
        `{"externalKey":"${key(1)}"\n[{}]\n{"externalKey":"${key(2)}","externalKey":"${key(3)}"}\n${lines(vehicle(key(4)))}`,
      [
        [1, 'rejected'],
        [2, 'rejected'],
        [3, 'rejected'],
        [4, 'created'],
      ],
      ['not JSON', 'no object', 'stands twice'],
    ],
    [
      'a bottomless nesting, a line of 5 MB and one in Latin-1',
      (key) =>
        Buffer.concat([
          Buffer.from(`{"externalKey":${'['.repeat(100_000)}${']'.repeat(100_000)}}\n`),
          Buffer.from(`{"externalKey":"${'x'.repeat(5_000_000)}"}\n`),
          Buffer.from('{"externalKey":"\u00c9"}\n', 'latin1'),
          Buffer.from(lines(vehicle(key(4)))),
        ]),
      [
        [1, 'rejected'],
        [2, 'rejected'],
        [3, 'rejected'],
        [4, 'created'],
      ],
      ['nested deeper', 'longer than', 'UTF-8'],
    ],
    [
      'characters that no database stores',
      (key) =>
        `${lines(vehicle(key(1), { registrationMark: 'REG\0' }))}{"externalKey":"\\ud800"}\n${lines(vehicle(key(3)))}`,
      [
        [1, 'rejected'],
        [2, 'rejected'],
        [3, 'created'],
      ],
      ['cannot be stored'],
    ],
    [
      'fields of other types than they should be',
      (key) =>
        lines(
          vehicle(key(1), { statedYearlyDistanceKm: '20000' }),
          vehicle(key(2), { registrationMark: 17 }),
          vehicle(key(3), { depotKey: { id: 'D1' } }),
          vehicle(key(4), { externalKey: null }),
          vehicle(key(5), { statedYearlyDistanceKm: Infinity }),
          vehicle(key(6), { statedYearlyDistanceKm: 20_000, fleetNumber: null }),
        ),
      [
        [1, 'rejected'],
        [2, 'rejected'],
        [3, 'rejected'],
        [4, 'rejected'],
        // JSON.stringify writes what is no number as null, and null is no stated distance
        [5, 'created'],
        [6, 'created'],
      ],
      ['#/statedYearlyDistanceKm', '#/registrationMark', '#/depotKey', '#/externalKey'],
    ],
    [
      'fields that these records do not have',
      (key) =>
        `${lines(vehicle(key(1), { colour: 'red', 'a/b~': 1 }))}{"__proto__":{"externalKey":"x"}}\n${lines(vehicle(key(3)))}`,
      [
        [1, 'rejected'],
        [2, 'rejected'],
        [3, 'created'],
      ],
      ['#/colour', '#/a~1b~0', '#/__proto__'],
    ],
    [
      'a text of keys that a JSON parser would take for another',
      (key) => lines(vehicle(`${key(1)}"{}[]\\`, { registrationMark: 'REG 1' })),
      [[1, 'created']],
      [],
    ],
  ])('%s', async (name, make, expected, words) => {
    const prefix = name.replaceAll(/[^a-z]/g, '').slice(0, 9);
    const done = await files.run(
      'vehicles',
      make((n) => `${prefix}-${n}`),
      NDJSON,
    );
    const found = await files.lines(done.id);
    expect(done).toMatchObject({ state: 'finished', failure: null, format: 'ndjson' });
    expect(done.bytesRead).toBe(done.byteCount);
    expect(outcomes(found)).toEqual(expected);
    const said = JSON.stringify(found.flatMap(({ errors }) => errors));
    for (const word of words) expect(said).toContain(word);
    for (const { outcome, errors } of found) expect(errors.length > 0).toBe(outcome === 'rejected');
    const stored = await owner.sql(
      `SELECT FROM vehicles WHERE organisation_id = $1 AND external_key LIKE $2`,
      [owner.organisationId, `${prefix}-%`],
    );
    expect(stored.length).toBe(done.linesCreated);
  });

  it.each([
    ['nothing', ''],
    ['empty lines', '\n\r\n \n'],
  ])('a file of %s is a file without lines', async (_, text) => {
    const done = await files.run('vehicles', text, NDJSON);
    expect(done).toMatchObject({ state: 'finished', linesCreated: 0, linesRejected: 0 });
    expect(await files.rejects(done.id)).toBe('');
  });

  it('CSV handed over as objects is refused line by line, objects handed over as CSV as a whole', async () => {
    const csv = 'externalKey,depotKey\nX,D1\n';
    expect(await files.run('vehicles', csv, NDJSON)).toMatchObject({ state: 'finished', linesRejected: 2 });
    const done = await files.run('vehicles', lines(vehicle('X')));
    expect(done).toMatchObject({ state: 'failed', format: 'csv' });
  });
});

describe('rejects', () => {
  it('come back as objects with their problem; corrected they are taken, as they are they are refused again', async () => {
    const { files } = await operator('Rejected Objects');
    const file = lines(
      vehicle('V1'),
      vehicle('V2', { odometerUnit: 'leagues' }),
      vehicle('V3', { depotKey: 'D7', colour: 'red' }),
    ).concat('{"externalKey":"V4"\n');
    const first = await files.run('vehicles', file, NDJSON);
    expect(first).toMatchObject({ linesCreated: 1, linesRejected: 3 });
    const response = await files.request('GET', `/v1/imports/${first.id}/rejects`);
    expect(response.headers.get('content-type')).toBe('application/x-ndjson; charset=utf-8');
    expect(response.headers.get('content-disposition')).toBe('attachment; filename="rejects.ndjson"');
    const text = await response.text();
    const rejects = text
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(rejects).toEqual([
      {
        ...vehicle('V2', { odometerUnit: 'leagues' }),
        problem: matching(/^line 2: #\/odometerUnit/),
      },
      {
        ...vehicle('V3', { depotKey: 'D7', colour: 'red' }),
        problem: matching(/^line 3: #\/colour/),
      },
      { unreadable: '{"externalKey":"V4"', problem: matching(/^line 4: .*not JSON/) },
    ]);

    const again = await files.run('vehicles', text, NDJSON);
    expect(again).toMatchObject({ linesCreated: 0, linesRejected: 3 });
    expect((await files.rejects(again.id)).split('\n').length).toBe(4);

    const [second, third] = rejects;
    const corrected = lines(
      { ...second, odometerUnit: 'mi' },
      { ...third, depotKey: 'D1', colour: undefined },
      vehicle('V4'),
    );
    expect(await files.run('vehicles', corrected, NDJSON)).toMatchObject({
      linesCreated: 3,
      linesRejected: 0,
    });
  });
});

describe('the files of Tarn Valley as objects', () => {
  const demo = tarnValleyFleet({ seed: 1, todayOn: '2026-11-25' });

  // the fault of a line with too few cells or a bare quote is one of CSV
  const asObjects = (text: string): Record<string, unknown>[] =>
    parse<Record<string, string>>(text, {
      columns: true,
      bom: true,
      relax_quotes: true,
      skip_records_with_error: true,
    }).map((row) =>
      Object.fromEntries(
        Object.entries(row).flatMap(([name, cell]): [string, unknown][] => {
          if (cell === '') return [];
          return [[name, NUMBERS.has(name) ? Number(cell) : cell]];
        }),
      ),
    );

  it('say the same as the CSV files, twice', async () => {
    const owner = await Operator.of(test, demo.fleet.name);
    const files = new ImportClient(address, owner.organisation.administratorKey);
    const fleet = { externalKey: demo.fleet.externalKey, name: demo.fleet.name };
    await files.run('fleets', lines(fleet), NDJSON);
    const depots = demo.depots.map((depot) => ({ ...depot, fleetKey: demo.fleet.externalKey }));
    expect(await files.run('depots', lines(...depots), NDJSON)).toMatchObject({
      linesCreated: demo.depots.length,
      linesRejected: 0,
    });
    for (const { name, text } of demo.files) {
      const kind = name.replace('.csv', '') as ImportKindName;
      await files.run(kind, text);
      const before = await recordsDigest(test, owner.organisationId);
      const objects = asObjects(text);
      const done = await files.run(kind, lines(...objects), NDJSON);
      const why = done.linesUnchanged > 0 ? [] : problems(await files.lines(done.id)).slice(0, 3);
      expect([kind, done.state, done.linesCreated, done.linesUpdated, why]).toEqual([
        kind,
        'finished',
        0,
        0,
        [],
      ]);
      expect(done.linesUnchanged).toBeGreaterThan(0);
      expect([kind, await recordsDigest(test, owner.organisationId)]).toEqual([kind, before]);
    }
  });
});

const NUMBERS = new Set([
  'value',
  'odometer',
  'engineHours',
  'oldFinalValue',
  'newInitialValue',
  'reservoirLitres',
  'inServiceOdometerKm',
  'inServiceEngineHours',
  'statedYearlyDistanceKm',
]);

describe('work that fails', () => {
  it('is given up after so many attempts, and the import says what to do', async () => {
    const { files, owner } = await operator('Given Up');
    const limit = (attempts: number): Promise<unknown> =>
      owner.sql(`UPDATE jobs.queue SET retry_limit = $1 WHERE name = 'run-import'`, [attempts]);
    const [queue] = await owner.sql<{ limit: number }>(
      `SELECT retry_limit AS "limit" FROM jobs.queue WHERE name = 'run-import'`,
    );
    const batch = jest
      .spyOn(test.app.get(ImportBatchService), 'write')
      .mockRejectedValue(new Error('the disk is full'));
    let done: ImportDto;
    try {
      await limit(0);
      done = await files.run('vehicles', lines(vehicle('G1')), NDJSON);
    } finally {
      batch.mockRestore();
      await limit(queue?.limit ?? 10);
    }
    expect(done).toMatchObject({ state: 'failed', linesCreated: 0 });
    expect(done.failure).toMatch(/failed again and again.*hand the same file over again/);
    expect(await files.run('vehicles', lines(vehicle('G1')), NDJSON)).toMatchObject({ linesCreated: 1 });
    // whoever comes late gives up nothing that has ended
    await test.app.get(ImportRunnerService).giveUp(owner.organisationId, done.id);
    expect(await files.json(`/v1/imports/${done.id}`)).toEqual(done);
  });
});

describe('figures', () => {
  it('count lines by what became of them and imports by how they ended, and say what is going on', async () => {
    const { files } = await operator('Figures');
    const figure = async (name: string): Promise<number> => {
      const text = await (await fetch(`${address}/metrics`)).text();
      const line = text.split('\n').find((one) => one.startsWith(`${name} `));
      return line === undefined ? 0 : Number(line.slice(name.length + 1));
    };
    const CREATED = 'precharge_import_lines_total{outcome="created"}';
    const REJECTED = 'precharge_import_lines_total{outcome="rejected"}';
    const FINISHED = 'precharge_imports_ended_total{state="finished"}';
    const FAILED = 'precharge_imports_ended_total{state="failed"}';
    const before = await Promise.all([CREATED, REJECTED, FINISHED, FAILED].map(figure));
    await files.run(
      'vehicles',
      lines(vehicle('V1'), vehicle('V2'), vehicle('V3', { depotKey: 'D9' })),
      NDJSON,
    );
    await files.run('vehicles', lines(vehicle('V4')), { ...NDJSON, dryRun: true });
    await files.run('vehicles', 'no header of vehicles\n');
    const after = await Promise.all([CREATED, REJECTED, FINISHED, FAILED].map(figure));
    expect(after.map((value, index) => value - (before[index] ?? 0))).toEqual([2, 1, 2, 1]);
    for (const name of ['running', 'waiting']) expect(await figure(`precharge_imports_${name}`)).toBe(0);
    expect(await figure('precharge_import_oldest_seconds')).toBe(0);
  });
});

it('names the field and the remedy of each problem', async () => {
  const { files } = await operator('Remedies');
  const done = await files.run('vehicles', lines(vehicle('V1', { depotKey: 'D9', wheels: 4 })), NDJSON);
  const found = await files.lines(done.id);
  expect(problems(found)).toEqual([[1, '#/wheels', 'is no field of these records']]);
  expect(found[0]?.errors[0]?.remedy).toContain('known are externalKey');
});
