import { setTimeout as sleep } from 'node:timers/promises';
import type { Binaries } from './binaries';
import { run } from './command';
import { EmbeddedPostgresError } from './embedded-postgres-error';
import type { RunningServer } from './pid-file';
import { isAlive, isServerOf } from './process-of-data-directory';
import { isErrno } from './system-error';

const FAST_MS = 60_000;
const IMMEDIATE_MS = 10_000;

// Fast shutdown: breaks off open transactions and writes a checkpoint. Only if that hangs the immediate one,
// which the next start repairs from the log. A server that has gone already is what was wanted.
export async function stopServer(dataDir: string, server: RunningServer, binaries: Binaries): Promise<void> {
  if (process.platform === 'win32') {
    // There are no signals on Windows: node would end the process on the spot.
    await run({
      file: binaries.pgCtl,
      args: ['stop', '--pgdata', dataDir, '--mode', 'fast', '--wait', '--timeout', `${FAST_MS / 1000}`],
      user: undefined,
    });
    return;
  }
  for (const [signal, patienceMs] of [
    ['SIGINT', FAST_MS],
    ['SIGQUIT', IMMEDIATE_MS],
  ] as const) {
    if (!isServerOf(dataDir, server.pid)) return;
    send(server.pid, signal);
    const deadline = Date.now() + patienceMs;
    while (Date.now() < deadline) {
      if (!isAlive(server.pid)) return;
      await sleep(10);
    }
  }
  throw new EmbeddedPostgresError(
    `The server on ${dataDir} (process ${server.pid}) does not stop.`,
    `Look into ${dataDir}.log, then end process ${server.pid} by hand.`,
  );
}

function send(pid: number, signal: NodeJS.Signals): void {
  try {
    process.kill(pid, signal);
  } catch (error) {
    if (!isErrno(error, 'ESRCH')) throw error;
  }
}
