import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { createServer } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Binaries } from './binaries';
import { launch } from './command';
import { EmbeddedPostgresError } from './embedded-postgres-error';
import { explainFailure, PORT_TAKEN } from './explain-failure';
import { readPidFile, type RunningServer } from './pid-file';
import type { RunAsUser } from './run-as-user';
import { openServerLog, type ServerLog } from './server-log';

export interface LaunchOptions {
  readonly dataDir: string;
  readonly port: number | undefined;
  readonly diesWithUs: boolean;
  readonly durable: boolean;
  readonly settings: Readonly<Record<string, string>>;
  readonly binaries: Binaries;
  readonly user: RunAsUser | undefined;
}

// Long, because a server that was killed first replays its log.
const READY_MS = 120_000;
const PORT_TRIES = 5;
const FAST_SHUTDOWN = { deathSignal: 'INT' } as const;

const SETTINGS = {
  listen_addresses: '127.0.0.1',
  unix_socket_directories: '',
  timezone: 'UTC',
  log_timezone: 'UTC',
  max_connections: '100',
  shared_preload_libraries: 'pg_stat_statements',
};

const NOT_DURABLE_SETTINGS = {
  fsync: 'off',
  synchronous_commit: 'off',
  full_page_writes: 'off',
  // Background work and just-in-time compilation only make the times of tests waver.
  autovacuum: 'off',
  jit: 'off',
};

export async function launchServer(options: LaunchOptions): Promise<RunningServer> {
  for (let attempt = 1; ; attempt++) {
    const port = options.port ?? (await findFreePort());
    const log = openServerLog(options.dataDir);
    try {
      return await launchOn(port, options, log);
    } catch (error) {
      // Between our look and the start of the server somebody else may have taken the port.
      const portTaken = log.lastLines().some((line) => PORT_TAKEN.test(line));
      if (options.port !== undefined || !portTaken || attempt === PORT_TRIES) throw error;
    } finally {
      log.close();
    }
  }
}

async function launchOn(port: number, options: LaunchOptions, log: ServerLog): Promise<RunningServer> {
  const { dataDir, binaries, user, diesWithUs } = options;
  const settings = { ...SETTINGS, ...(!options.durable && NOT_DURABLE_SETTINGS), ...options.settings };
  const args = [
    ...['-D', dataDir, '-p', `${port}`],
    ...Object.entries(settings).flatMap(([name, value]) => ['-c', `${name}=${value}`]),
  ];
  const child = launch({ file: binaries.postgres, args, user, ...(diesWithUs && FAST_SHUTDOWN) }, log.fd);
  child.unref();
  const failure = failureOf(child);
  const deadline = Date.now() + READY_MS;
  for (;;) {
    const file = readPidFile(dataDir);
    if (file && file.pid === child.pid && file.status === 'ready') return { pid: file.pid, port };
    const failed = failure();
    if (failed !== undefined)
      throw explainFailure(`The PostgreSQL server on ${dataDir} did not start: ${failed}.`, log.lastLines());
    if (Date.now() > deadline) {
      child.kill('SIGINT');
      await once(child, 'exit');
      throw new EmbeddedPostgresError(
        `The PostgreSQL server on ${dataDir} was not ready after ${READY_MS / 1000} s and was stopped again.`,
        'The log below tells what it was doing; start again to let it go on.',
        log.lastLines(),
      );
    }
    await sleep(10);
  }
}

function failureOf(child: ChildProcess): () => string | undefined {
  let failure: string | undefined;
  child.once('error', (error) => (failure = error.message));
  child.once(
    'exit',
    (code, signal) => (failure ??= code === null ? `signal ${signal}` : `exit code ${code}`),
  );
  return () => failure;
}

async function findFreePort(): Promise<number> {
  const probe = createServer();
  probe.listen(0, '127.0.0.1');
  await once(probe, 'listening');
  const address = probe.address();
  probe.close();
  await once(probe, 'close');
  if (address === null || typeof address === 'string') throw new Error('a TCP server without a port');
  return address.port;
}
