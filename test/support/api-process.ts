import { spawn, spawnSync, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { closeSync, openSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { createServer, type AddressInfo } from 'node:net';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';

const ROOT = join(__dirname, '../..');
const MAIN = join(ROOT, 'dist/src/main.js');
const WORKER = join(ROOT, 'dist/src/worker.js');

/** Compiles the sources, unless that has been done since they were last changed. */
export function ensureBuilt(): void {
  const builtAt = statSync(MAIN, { throwIfNoEntry: false })?.mtimeMs ?? 0;
  if (builtAt > Math.max(...['src', 'migrations'].map((folder) => newestIn(join(ROOT, folder))))) return;
  const { status, stderr } = spawnSync(process.execPath, ['scripts/build.js'], {
    cwd: ROOT,
    encoding: 'utf8',
  });
  if (status !== 0) throw new Error(`the sources do not compile:\n${stderr}`);
}

function newestIn(folder: string): number {
  const files = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((entry) =>
    entry.isFile(),
  );
  return Math.max(...files.map(({ parentPath, name }) => statSync(join(parentPath, name)).mtimeMs));
}

/** A port that was free a moment ago. */
export async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address() as AddressInfo;
  server.close();
  await once(server, 'close');
  return port;
}

/** A program of the product in a process of its own that a test can kill. */
class ServiceProcess {
  private readonly child: ChildProcess;

  protected constructor(
    script: string,
    environment: Record<string, string>,
    private readonly logFile: string,
  ) {
    const log = openSync(logFile, 'a');
    this.child = spawn(process.execPath, [script], {
      cwd: ROOT,
      env: { PATH: process.env.PATH, NODE_ENV: 'production', ...environment },
      stdio: ['ignore', log, log],
    });
    closeSync(log);
  }

  protected async untilReady(isReady: () => Promise<boolean>): Promise<void> {
    for (const deadline = Date.now() + 120_000; Date.now() < deadline && this.isAlive();) {
      if (await isReady()) return;
      await sleep(20);
    }
    this.child.kill('SIGKILL');
    throw new Error(`the process did not start:\n${this.log()}`);
  }

  isAlive(): boolean {
    return this.child.exitCode === null && this.child.signalCode === null;
  }

  /** Sends a signal and answers how the process ended. */
  async end(signal: NodeJS.Signals): Promise<number | NodeJS.Signals | null> {
    if (this.isAlive()) {
      const gone = once(this.child, 'exit');
      this.child.kill(signal);
      await gone;
    }
    return this.child.exitCode ?? this.child.signalCode;
  }

  log(): string {
    return readFileSync(this.logFile, 'utf8');
  }
}

/** The API as it is run in earnest. */
export class ApiProcess extends ServiceProcess {
  readonly address: string;

  private constructor(environment: Record<string, string>, port: number, logFile: string) {
    super(MAIN, { PORT: String(port), ...environment }, logFile);
    this.address = `http://127.0.0.1:${port}`;
  }

  static async start(
    environment: Record<string, string>,
    port: number,
    logFile: string,
  ): Promise<ApiProcess> {
    const api = new ApiProcess(environment, port, logFile);
    await api.untilReady(() =>
      fetch(`${api.address}/health/ready`).then(
        ({ ok }) => ok,
        // refused until it listens
        () => false,
      ),
    );
    return api;
  }
}

/** The background work without an API. */
export class WorkerProcess extends ServiceProcess {
  static async start(environment: Record<string, string>, logFile: string): Promise<WorkerProcess> {
    // each has a log of its own, because it tells there that it is ready, and nowhere else
    rmSync(logFile, { force: true });
    const worker = new WorkerProcess(WORKER, { ...environment, LOG_LEVEL: 'info' }, logFile);
    await worker.untilReady(() => Promise.resolve(worker.log().includes('worker ready')));
    return worker;
  }
}
