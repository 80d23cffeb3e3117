import { execFile } from 'node:child_process';
import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { Client } from 'pg';
import { createOrganisation, type NewOrganisation } from '../../src/platform/database/create-organisation';
import {
  startEmbeddedPostgres,
  type EmbeddedPostgres,
} from '../../src/platform/database/embedded-postgres/start-embedded-postgres';
import { ApiProcess, ensureBuilt, freePort } from './api-process';
import { TEST_SECRET } from './test-secret';

export interface Answer<Body> {
  status: number;
  body: Body;
}

/** Two API processes on one server, as they run in earnest, and one organisation that works with both. */
export class TwoApiProcesses {
  private constructor(
    private readonly folder: string,
    private readonly postgres: EmbeddedPostgres,
    readonly apis: ApiProcess[],
    readonly organisation: NewOrganisation,
    private readonly environment: Record<string, string>,
    private readonly ofSecond: Record<string, string>,
  ) {}

  /**
   * @param settings other settings than those of all tests, for both processes
   * @param ofSecond others again for the second of them
   */
  static async start(
    organisationName: string,
    settings: Record<string, string> = {},
    ofSecond: Record<string, string> = {},
  ): Promise<TwoApiProcesses> {
    ensureBuilt();
    const folder = mkdtempSync(join(tmpdir(), 'precharge-two-'));
    chmodSync(folder, 0o711); // as root the server runs as another user, who has to pass through
    const postgres = await startEmbeddedPostgres({
      dataDir: join(folder, 'data'),
      mode: 'child',
      durable: false,
    });
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
    const organisation = await createOrganisation(postgres.url(), organisationName);
    return new TwoApiProcesses(folder, postgres, apis, organisation, environment, ofSecond);
  }

  async stop(): Promise<void> {
    for (const api of this.apis) await api.end('SIGKILL');
    await this.postgres.stop();
    rmSync(this.folder, { recursive: true, force: true });
  }

  /** Kills a process without warning and starts another one in its place. */
  async killAndRestart(index: number): Promise<void> {
    await this.apis[index]?.end('SIGKILL');
    const settings = index === 1 ? { ...this.environment, ...this.ofSecond } : this.environment;
    this.apis[index] = await startApi(settings, this.folder, `restarted-${index}`);
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

async function startApi(
  environment: Record<string, string>,
  folder: string,
  name: string,
): Promise<ApiProcess> {
  return ApiProcess.start(environment, await freePort(), join(folder, `${name}.log`));
}
