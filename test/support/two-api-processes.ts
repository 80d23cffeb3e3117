import { execFile } from 'node:child_process';
import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { promisify } from 'node:util';
import { Client } from 'pg';
import { createOrganisation, type NewOrganisation } from '../../src/platform/database/create-organisation';
import {
  startEmbeddedPostgres,
  type EmbeddedPostgres,
} from '../../src/platform/database/embedded-postgres/start-embedded-postgres';
import { ApiProcess, WorkerProcess, ensureBuilt, freePort } from './api-process';
import { TEST_SECRET } from './test-secret';

export interface Answer<Body> {
  status: number;
  body: Body;
}

export interface ProcessOptions {
  /** survives the end of the server as it does in earnest; slower */
  durable?: boolean;
  /** a third process that does background work, as the two do as well */
  worker?: boolean;
  /** settings of the second process that the first does not have */
  ofSecond?: Record<string, string>;
}

/** Two API processes on one server, as they run in earnest, and one organisation that works with both. */
export class TwoApiProcesses {
  private constructor(
    private readonly folder: string,
    private readonly durable: boolean,
    private postgres: EmbeddedPostgres,
    readonly apis: ApiProcess[],
    private worker: WorkerProcess | null,
    readonly organisation: NewOrganisation,
    private readonly environment: Record<string, string>,
    private readonly ofSecond: Record<string, string>,
  ) {}

  /** @param settings other settings than those of all tests, for both processes */
  static async start(
    organisationName: string,
    settings: Record<string, string> = {},
    { durable = false, worker = false, ofSecond = {} }: ProcessOptions = {},
  ): Promise<TwoApiProcesses> {
    ensureBuilt();
    const folder = mkdtempSync(join(tmpdir(), 'precharge-two-'));
    chmodSync(folder, 0o711); // as root the server runs as another user, who has to pass through
    const postgres = await startPostgres(folder, durable);
    const environment = {
      DATABASE_URL: postgres.url(),
      PRECHARGE_SECRET: TEST_SECRET,
      PUBLIC_URL: 'https://precharge.example',
      LOG_LEVEL: 'warn',
      REQUESTS_PER_MINUTE: '100000000',
      ...settings,
    };
    const apis = [
      await startApi(environment, folder, 'first'),
      await startApi({ ...environment, ...ofSecond }, folder, 'second'),
    ];
    const third = worker ? await WorkerProcess.start(environment, join(folder, 'worker.log')) : null;
    const organisation = await createOrganisation(postgres.url(), organisationName);
    return new TwoApiProcesses(folder, durable, postgres, apis, third, organisation, environment, ofSecond);
  }

  async stop(): Promise<void> {
    for (const each of [...this.apis, this.worker]) await each?.end('SIGKILL');
    await this.postgres.stop();
    rmSync(this.folder, { recursive: true, force: true });
  }

  /** Kills a process without warning and starts another one in its place. */
  async killAndRestart(index: number): Promise<void> {
    await this.apis[index]?.end('SIGKILL');
    const settings = index === 1 ? { ...this.environment, ...this.ofSecond } : this.environment;
    this.apis[index] = await startApi(settings, this.folder, `restarted-${index}`);
  }

  async killAndRestartWorker(): Promise<void> {
    await this.worker?.end('SIGKILL');
    this.worker = await WorkerProcess.start(this.environment, join(this.folder, 'worker.log'));
  }

  /** Kills the database server, whose processes stay, and starts it again on what it left behind. */
  async killAndRestartPostgres(awayMs: number): Promise<void> {
    const { pid, port } = this.postgres;
    process.kill(pid, 'SIGKILL');
    await sleep(awayMs);
    this.postgres = await startPostgres(this.folder, this.durable, port);
  }

  async send<Body>(
    index: number,
    method: 'GET' | 'POST' | 'PATCH',
    path: string,
    body?: object,
    headers: Record<string, string> = {},
  ): Promise<Answer<Body>> {
    const response = await fetch(`${this.apis[index % this.apis.length]?.address ?? ''}${path}`, {
      method,
      headers: {
        authorization: `Bearer ${this.organisation.administratorKey}`,
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        ...headers,
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
    return { status: response.status, body: (await response.json()) as Body };
  }

  /** Creates something and answers what was made. */
  async made<Body>(path: string, body: object): Promise<Body> {
    const { status, body: answer } = await this.send<Body>(0, 'POST', path, body);
    if (status !== 201) throw new Error(`${path} answered ${status} ${JSON.stringify(answer)}`);
    return answer;
  }

  /** All of a list, page by page. */
  async all<Item>(path: string): Promise<Item[]> {
    const items: Item[] = [];
    for (let cursor: string | null = ''; cursor !== null;) {
      const from: string = cursor === '' ? '' : `&cursor=${encodeURIComponent(cursor)}`;
      const page: Answer<{ items: Item[]; next: string | null }> = await this.send(
        0,
        'GET',
        `${path}?limit=500${from}`,
      );
      if (page.status !== 200) throw new Error(`${path} answered ${page.status}`);
      items.push(...page.body.items);
      cursor = page.body.next;
    }
    return items;
  }

  /** Runs a compiled command of the product on the same database, and answers what it printed. */
  async run(command: string, ...options: string[]): Promise<string> {
    const program = join(process.cwd(), 'dist/src/cli', command);
    const { stdout } = await promisify(execFile)(process.execPath, [program, ...options], {
      env: { PATH: process.env.PATH, ...this.environment },
    });
    return stdout;
  }

  /** A statement as the owner of the database, inside the organisation. */
  async sql<Row>(text: string, parameters: unknown[] = []): Promise<Row[]> {
    const client = new Client({ connectionString: this.postgres.url() });
    // the statement that finds the connection broken says so as well
    client.on('error', () => undefined);
    await client.connect();
    try {
      await client.query(`SELECT set_config('app.organisation_id', $1, false)`, [
        this.organisation.organisationId,
      ]);
      return (await client.query(text, parameters)).rows as Row[];
    } finally {
      await client.end();
    }
  }
}

function startPostgres(folder: string, durable: boolean, port?: number): Promise<EmbeddedPostgres> {
  return startEmbeddedPostgres({ dataDir: join(folder, 'data'), mode: 'child', durable, port });
}

async function startApi(
  environment: Record<string, string>,
  folder: string,
  name: string,
): Promise<ApiProcess> {
  return ApiProcess.start(environment, await freePort(), join(folder, `${name}.log`));
}
