import { spawnSync } from 'node:child_process';
import {
  appendFileSync,
  chmodSync,
  cpSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { Client } from 'pg';
import { startEmbeddedPostgres } from '../../src/platform/database/embedded-postgres/start-embedded-postgres';
import { ApiProcess, ensureBuilt, freePort } from '../support/api-process';

// The commands as the README and docs/operations.md give them, on the server that comes along.

const ROOT = join(__dirname, '../..');

let folder: string;
beforeAll(() => {
  ensureBuilt();
  folder = mkdtempSync(join(tmpdir(), 'precharge-operations-'));
  chmodSync(folder, 0o711); // as root the server runs as another user, who has to pass through
  for (const name of ['old', 'new']) mkdirSync(join(folder, name));
});
afterAll(async () => {
  for (const name of ['old', 'new']) await (await serverOf(name)).stop();
  rmSync(folder, { recursive: true, force: true });
});

const serverOf = (name: string) =>
  startEmbeddedPostgres({ dataDir: join(folder, name, 'postgres'), mode: 'detached', durable: false });

interface Ended {
  status: number | null;
  stdout: string;
  stderr: string;
}

/** Runs a command of package.json's scripts on the data of a folder. */
function run(data: string, script: string, ...parameters: string[]): Ended {
  const { scripts } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as {
    scripts: Record<string, string>;
  };
  const [, ...program] = scripts[script]?.split(' ') ?? [];
  const { status, stdout, stderr } = spawnSync(process.execPath, [...program, ...parameters], {
    cwd: ROOT,
    env: { PATH: process.env.PATH, PRECHARGE_DATA_DIR: join(folder, data) },
    encoding: 'utf8',
  });
  return { status, stdout, stderr };
}

/** Statements as the superuser of a server. */
async function asSuperuser<Row extends object>(data: string, sql: string): Promise<Row[]> {
  const client = new Client({ connectionString: (await serverOf(data)).url('precharge') });
  await client.connect();
  try {
    await client.query('SET session_replication_role = replica');
    return (await client.query<Row>(sql)).rows;
  } finally {
    await client.end();
  }
}

/** Has the API of a folder's data answer, as it is run in earnest. */
async function served<T>(data: string, work: (address: string) => Promise<T>): Promise<T> {
  const environment = { PRECHARGE_DATA_DIR: join(folder, data), LOG_LEVEL: 'info' };
  const api = await ApiProcess.start(environment, await freePort(), join(folder, `${data}.log`));
  try {
    // from here on a signal is answered by an orderly end
    while (!api.log().includes('"msg":"ready"')) await sleep(20);
    return await work(api.address);
  } finally {
    expect(await api.end('SIGTERM')).toBe(0);
  }
}

it('an operator notes heads, backs up, loses the machine, restores, and sees what was tampered with', async () => {
  const made = run('old', 'organisation', 'Tarn Valley Patient Transport');
  expect(made).toMatchObject({ status: 0 });
  const [organisationId = ''] = /[0-9a-f-]{36}/.exec(made.stdout) ?? [];
  const [key = ''] = /^pk_\S+$/m.exec(made.stdout) ?? [];
  const headers = { authorization: `Bearer ${key}`, 'content-type': 'application/json' };
  const fleets = (address: string): Promise<unknown> =>
    fetch(`${address}/v1/fleets`, { headers }).then((response) => response.json());
  const before = await served('old', async (address) => {
    for (const name of ['Patient transport', 'School runs', 'Night service'])
      await fetch(`${address}/v1/fleets`, { method: 'POST', headers, body: JSON.stringify({ name }) });
    return fleets(address);
  });

  const noted = run('old', 'audit:heads');
  expect(noted).toMatchObject({ status: 0 });
  const [head] = noted.stdout
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line) as { position: number });
  expect(head).toMatchObject({
    organisationId,
    position: 3,
    hash: expect.stringMatching(/^[0-9a-f]{64}$/) as string,
  });
  const heads = join(folder, 'heads');
  writeFileSync(heads, noted.stdout);
  const inOrder = run('old', 'audit:verify', '--heads', heads);
  expect(inOrder).toMatchObject({ status: 0 });
  expect(inOrder.stdout).toMatch(
    new RegExp(`^${organisationId}: 3 entries in order up to [0-9a-f]{64}\\.\\n$`),
  );

  const file = join(folder, 'backup');
  expect(run('old', 'backup', file)).toMatchObject({ status: 0 });
  expect(run('old', 'backup', file)).toMatchObject({
    status: 1,
    stderr: `${file} exists already. Give another name.\n`,
  });
  expect(run('old', 'backup')).toMatchObject({ status: 1 });
  const whole = run('old', 'restore', '--check', file);
  expect(whole).toMatchObject({ status: 0 });
  expect(whole.stdout).toMatch(/is whole: \d+ rows of \d+ tables, as of 20/);
  expect(run('old', 'restore', file)).toMatchObject({ status: 1 });
  expect(run('old', 'restore', file).stderr).toContain('The database is not empty');

  // the new machine has the file, the noted heads and the secret
  cpSync(join(folder, 'old/secret'), join(folder, 'new/secret'));
  const restored = run('new', 'restore', file);
  expect(restored).toMatchObject({ status: 0 });
  expect(restored.stdout).toContain(`Audit trail of ${organisationId}: 3 entries in order.`);
  expect(restored.stdout).not.toContain('The secret is not the one');
  expect(await served('new', fleets)).toEqual(before);
  expect(run('new', 'audit:verify', '--organisation', organisationId, '--heads', heads)).toMatchObject({
    status: 0,
  });

  const [{ id }] = (await asSuperuser<{ id: string }>(
    'new',
    `UPDATE audit_entries SET after = after || '{"name": "another"}' WHERE sequence =
      (SELECT min(sequence) FROM audit_entries) RETURNING id`,
  )) as [{ id: string }];
  const fault = run('new', 'audit:verify');
  expect(fault).toMatchObject({ status: 1 });
  expect(fault.stdout).toContain(
    `${organisationId}: FAULT (altered): Entry ${id}, at position 1, is not what was sealed`,
  );

  // whoever takes everything away is found out by the heads
  await asSuperuser('new', 'DELETE FROM audit_entries; DELETE FROM audit_seals');
  expect(run('new', 'audit:verify')).toMatchObject({ status: 0 });
  const cut = run('new', 'audit:verify', '--heads', heads);
  expect(cut).toMatchObject({ status: 1 });
  expect(cut.stdout).toContain(
    'FAULT (truncated): The chain ends at position 0, but a head was noted for position 3',
  );
  appendFileSync(heads, 'a letter\n');
  const unreadable = run('new', 'audit:verify', '--heads', heads);
  expect(unreadable).toMatchObject({ status: 1 });
  expect(unreadable.stderr).toContain('line 2: this is no head.');
}, 300_000);
