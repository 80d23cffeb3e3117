import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { chmodSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import {
  startEmbeddedPostgres,
  type EmbeddedPostgres,
} from '../../src/platform/database/embedded-postgres/start-embedded-postgres';

export const BENCH_SECRET = 'a secret for measurements only, thirty-two characters and more';
const ROOT = join(__dirname, '../..');

/** The service as `npm start` runs it. */
export const SERVICE: readonly string[] = (
  JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { scripts: { start: string } }
).scripts.start
  .split(' ')
  .slice(1);

/** A durable server in a folder of its own, as an operator would have it. */
export async function startBenchPostgres(): Promise<EmbeddedPostgres & { remove(): Promise<void> }> {
  const folder = mkdtempSync(join(tmpdir(), 'precharge-bench-'));
  chmodSync(folder, 0o711); // as root the server runs as another user, who has to pass through
  const server = await startEmbeddedPostgres({ dataDir: join(folder, 'data'), mode: 'child', durable: true });
  return {
    ...server,
    remove: async () => {
      await server.stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export interface ServerProcess {
  address: string;
  /** from the start of the process to its first answer */
  secondsToFirstAnswer: number;
  rssMb(): number;
  /** the most that it has had so far */
  peakRssMb(): number;
  stop(): Promise<void>;
}

export async function startProcess(
  args: readonly string[],
  environment: Record<string, string>,
  port: number,
  path: string,
): Promise<ServerProcess> {
  const started = performance.now();
  const child = spawn(process.execPath, args, {
    cwd: ROOT,
    env: { PATH: process.env.PATH, NODE_ENV: 'production', ...environment },
    stdio: ['ignore', 'inherit', 'inherit'],
  });
  const address = `http://127.0.0.1:${port}`;
  await firstAnswer(`${address}${path}`, child);
  return {
    address,
    secondsToFirstAnswer: (performance.now() - started) / 1000,
    rssMb: () => residentMb(child, 'VmRSS'),
    peakRssMb: () => residentMb(child, 'VmHWM'),
    stop: async () => {
      if (child.exitCode !== null) return;
      child.kill('SIGTERM');
      await once(child, 'exit');
    },
  };
}

export function startApi(
  ownerUrl: string,
  port: number,
  environment: Record<string, string> = {},
): Promise<ServerProcess> {
  return startProcess(
    SERVICE,
    {
      DATABASE_URL: ownerUrl,
      PRECHARGE_SECRET: BENCH_SECRET,
      PORT: String(port),
      LOG_LEVEL: 'warn',
      REQUESTS_PER_MINUTE: '100000000',
      ...environment,
    },
    port,
    '/health/ready',
  );
}

async function firstAnswer(url: string, child: ChildProcess): Promise<void> {
  for (let attempt = 0; attempt < 6_000; attempt++) {
    if (child.exitCode !== null)
      throw new Error(`the process left with code ${child.exitCode} before it answered`);
    const answered = await fetch(url).then(
      (response) => response.ok,
      // refused until it listens
      () => false,
    );
    if (answered) return;
    await sleep(10);
  }
  throw new Error(`${url} did not answer within a minute`);
}

function residentMb(child: ChildProcess, field: 'VmRSS' | 'VmHWM'): number {
  const status = readFileSync(`/proc/${child.pid ?? 0}/status`, 'utf8');
  return Number(new RegExp(`${field}:\\s+(\\d+) kB`).exec(status)?.[1] ?? NaN) / 1024;
}
