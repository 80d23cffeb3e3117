import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { SERVICE, startProcess, type ServerProcess } from './bench-server';
import { median, type Figure } from './figures';

const RUNS = 5;
const PORT = 3951;

/** From the start of the process to the first answered request, the embedded database included. */
export async function benchStart(): Promise<Figure[]> {
  const cold: number[] = [];
  const warm: number[] = [];
  const idle: number[] = [];
  for (let run = 0; run < RUNS; run++) {
    const folder = mkdtempSync(join(tmpdir(), 'precharge-bench-start-'));
    chmodSync(folder, 0o711); // as root the server runs as another user, who has to pass through
    const start = (): Promise<ServerProcess> =>
      startProcess(
        SERVICE,
        { PRECHARGE_DATA_DIR: folder, PORT: String(PORT), LOG_LEVEL: 'warn' },
        PORT,
        '/health/ready',
      );
    try {
      const first = await start();
      cold.push(first.secondsToFirstAnswer);
      await first.stop();
      await stopPostgres(folder);
      const second = await start();
      warm.push(second.secondsToFirstAnswer);
      idle.push(second.rssMb());
      await second.stop();
    } finally {
      await stopPostgres(folder);
      rmSync(folder, { recursive: true, force: true });
    }
  }
  return [
    {
      key: 'start_cold_s',
      value: median(cold),
      unit: 's',
      comparison: 'empty data directory, embedded Postgres set up',
    },
    {
      key: 'start_warm_s',
      value: median(warm),
      unit: 's',
      comparison: 'existing data directory, embedded Postgres stopped',
    },
    { key: 'rss_idle_mb', value: median(idle), unit: 'MB', comparison: 'API process after its first answer' },
  ];
}

// The embedded server outlives the API process on purpose; a warm start is one that has to start it again.
async function stopPostgres(folder: string): Promise<void> {
  const pidFile = join(folder, 'postgres/postmaster.pid');
  if (!existsSync(pidFile)) return;
  process.kill(Number(readFileSync(pidFile, 'utf8').split('\n')[0]), 'SIGINT');
  while (existsSync(pidFile)) await sleep(20);
}
