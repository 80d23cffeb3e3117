import { readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { EmbeddedPostgresError } from './embedded-postgres-error';
import { hasServerProcesses, isServerOf } from './process-of-data-directory';
import { isErrno } from './system-error';

export interface PidFile {
  readonly pid: number;
  readonly port: number;
  readonly status: string;
}

export interface RunningServer {
  readonly pid: number;
  readonly port: number;
}

const SETTLE_MS = 120_000;
const ORPHANS_LEAVE_MS = 10_000;

export function pidFilePath(dataDir: string): string {
  return join(dataDir, 'postmaster.pid');
}

// Lines: pid, data directory, start time, port, socket folder, address, shared memory, status.
// Half-written files give NaN or an empty status, which nothing takes for a running server.
export function readPidFile(dataDir: string): PidFile | undefined {
  try {
    const lines = readFileSync(pidFilePath(dataDir), 'utf8').split('\n');
    return { pid: Number(lines[0] || NaN), port: Number(lines[3] || NaN), status: (lines[7] ?? '').trim() };
  } catch (error) {
    if (isErrno(error, 'ENOENT')) return undefined;
    throw error;
  }
}

// The server that runs on the data directory, once it is ready; undefined when none does, and then no stale
// pid file is left either. Call it under the start lock, or it might remove the file of a server just starting.
export async function findRunningServer(dataDir: string): Promise<RunningServer | undefined> {
  const deadline = Date.now() + SETTLE_MS;
  for (;;) {
    const file = readPidFile(dataDir);
    if (!file) return undefined;
    if (!isServerOf(dataDir, file.pid)) break;
    if (file.status === 'ready') return { pid: file.pid, port: file.port };
    if (Date.now() > deadline)
      throw new EmbeddedPostgresError(
        `The server on ${dataDir} (process ${file.pid}) has been "${file.status}" for ${SETTLE_MS / 1000} s.`,
        `Wait until it has finished, or stop process ${file.pid}, then start again.`,
      );
    await sleep(25);
  }
  await waitForOrphans(dataDir);
  // Postgres itself only asks whether the number is alive, so a reused one or a zombie would stop it.
  rmSync(pidFilePath(dataDir), { force: true });
  return undefined;
}

// Processes of a killed server leave by themselves; a second server beside them would ruin the data.
async function waitForOrphans(dataDir: string): Promise<void> {
  const deadline = Date.now() + ORPHANS_LEAVE_MS;
  while (hasServerProcesses(dataDir)) {
    if (Date.now() > deadline)
      throw new EmbeddedPostgresError(
        `Processes of a server that was killed still use ${dataDir}.`,
        `Stop them (look for "postgres:" in the process list), then start again.`,
      );
    await sleep(25);
  }
}
