import { Client, escapeLiteral } from 'pg';
import { ApiClient } from '../../src/cli/api-client';
import { fillDiary, type FilledWorkshop } from '../../src/cli/demo/fill-diary';
import { loadTarnValley } from '../../src/cli/demo/load-tarn-valley';
import { tarnValleyFleet } from '../../src/cli/demo/tarn-valley/tarn-valley-fleet';
import { localDateAt } from '../../src/core/shared/calendar-date';
import type { NewOrganisation } from '../../src/platform/database/create-organisation';
import { openDatabase } from '../../src/platform/database/open-database';
import { startWork } from '../../src/work';
import { FILLED_TEMPLATE } from '../support/make-template';
import { startTestApp, TEST_NOW } from '../support/test-app';
import { TEST_SECRET } from '../support/test-secret';

/** The invented operator on the day of the tests. */
export const DEMO_FLEET = { seed: 1, todayOn: localDateAt(TEST_NOW, 'Europe/London') };

const FILLING = `${FILLED_TEMPLATE}_filling`;

export interface FilledTemplate {
  /** name of the database to copy */
  template: string;
  organisation: NewOrganisation;
  workshops: FilledWorkshop[];
}

/** A database with the fleet and the half full diary of the demo: whichever test file needs it first fills it. */
export async function filledTemplate(): Promise<FilledTemplate> {
  const serverUrl = process.env.PRECHARGE_TEST_POSTGRES_URL;
  if (serverUrl === undefined) throw new Error('run under the Jest project "served"');
  const client = new Client({ connectionString: serverUrl });
  await client.connect();
  try {
    await client.query(`SELECT pg_advisory_lock(hashtext('${FILLED_TEMPLATE}'))`);
    const { rows } = await client.query<{ contents: string }>(
      `SELECT shobj_description(oid, 'pg_database') AS contents FROM pg_database WHERE datname = '${FILLED_TEMPLATE}'`,
    );
    if (rows[0] !== undefined) return JSON.parse(rows[0].contents) as FilledTemplate;
    await client.query(`DROP DATABASE IF EXISTS ${FILLING} WITH (FORCE)`);
    await client.query(`CREATE DATABASE ${FILLING} TEMPLATE ${process.env.PRECHARGE_TEST_TEMPLATE ?? ''}`);
    const url = new URL(serverUrl);
    url.pathname = `/${FILLING}`;
    const filled = { template: FILLED_TEMPLATE, ...(await fill(url.href)) };
    await client.query(`COMMENT ON DATABASE ${FILLING} IS ${escapeLiteral(JSON.stringify(filled))}`);
    await client.query(`ALTER DATABASE ${FILLING} RENAME TO ${FILLED_TEMPLATE}`);
    return filled;
  } finally {
    await client.end();
  }
}

async function fill(url: string): Promise<Omit<FilledTemplate, 'template'>> {
  const database = await openDatabase(url, TEST_SECRET, null);
  const test = await startTestApp({ requestsPerMinute: 10_000_000 }, { beside: { database } });
  try {
    await test.app.listen(0, '127.0.0.1');
    await startWork(test.app);
    const fleet = tarnValleyFleet(DEMO_FLEET);
    const organisation = await test.organisation(fleet.fleet.name);
    const api = new ApiClient(await test.app.getUrl(), organisation.administratorKey);
    // the demo tells what it does
    const told = [
      jest.spyOn(console, 'log').mockImplementation(),
      jest.spyOn(process.stderr, 'write').mockReturnValue(true),
    ];
    await loadTarnValley(api, fleet);
    const workshops = await fillDiary(api, DEMO_FLEET.seed);
    for (const each of told) each.mockRestore();
    return { organisation, workshops };
  } finally {
    await test.close();
  }
}
