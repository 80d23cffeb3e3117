import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
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
    private readonly settings: Record<string, string>,
  ) {}

  static async start(
    organisationName: string,
    settings: Record<string, string> = {},
  ): Promise<TwoApiProcesses> {
    ensureBuilt();
    const folder = mkdtempSync(join(tmpdir(), 'precharge-two-'));
    chmodSync(folder, 0o711); // as root the server runs as another user, who has to pass through
    const postgres = await startEmbeddedPostgres({
      dataDir: join(folder, 'data'),
      mode: 'child',
      durable: false,
    });
    const apis: ApiProcess[] = [];
    for (const name of ['first', 'second']) apis.push(await startApi(postgres, folder, name, settings));
    const organisation = await createOrganisation(postgres.url(), organisationName);
    return new TwoApiProcesses(folder, postgres, apis, organisation, settings);
  }

  async stop(): Promise<void> {
    for (const api of this.apis) await api.end('SIGKILL');
    await this.postgres.stop();
    rmSync(this.folder, { recursive: true, force: true });
  }

  /** Kills a process without warning and starts another one in its place. */
  async killAndRestart(index: number): Promise<void> {
    await this.apis[index]?.end('SIGKILL');
    this.apis[index] = await startApi(this.postgres, this.folder, `restarted-${index}`, this.settings);
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
  postgres: EmbeddedPostgres,
  folder: string,
  name: string,
  settings: Record<string, string>,
): Promise<ApiProcess> {
  const environment = {
    DATABASE_URL: postgres.url(),
    PRECHARGE_SECRET: TEST_SECRET,
    LOG_LEVEL: 'warn',
    REQUESTS_PER_MINUTE: '100000000',
    ...settings,
  };
  return ApiProcess.start(environment, await freePort(), join(folder, `${name}.log`));
}
