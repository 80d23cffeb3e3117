import { spawn, spawnSync, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { closeSync, openSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { createServer, type AddressInfo } from 'node:net';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';

const ROOT = join(__dirname, '../..');
const MAIN = join(ROOT, 'dist/src/main.js');

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

/** The API as it is run in earnest, in a process of its own that a test can kill. */
export class ApiProcess {
  private constructor(
    private readonly child: ChildProcess,
    readonly address: string,
    private readonly logFile: string,
  ) {}

  static async start(
    environment: Record<string, string>,
    port: number,
    logFile: string,
  ): Promise<ApiProcess> {
    const log = openSync(logFile, 'a');
    const child = spawn(process.execPath, [MAIN], {
      cwd: ROOT,
      env: { PATH: process.env.PATH, NODE_ENV: 'production', PORT: String(port), ...environment },
      stdio: ['ignore', log, log],
    });
    closeSync(log);
    const api = new ApiProcess(child, `http://127.0.0.1:${port}`, logFile);
    for (const deadline = Date.now() + 120_000; Date.now() < deadline;) {
      if (!api.isAlive()) break;
      const answered = await fetch(`${api.address}/health/ready`).then(
        ({ ok }) => ok,
        // refused until it listens
        () => false,
      );
      if (answered) return api;
      await sleep(20);
    }
    child.kill('SIGKILL');
    throw new Error(`the API did not start:\n${api.log()}`);
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
