import { join } from 'node:path';
import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import type { DestinationStream } from 'pino';
import { createApp } from '../../src/app.setup';
import { createOrganisation, type NewOrganisation } from '../../src/platform/database/create-organisation';
import { Clock } from '../../src/platform/clock/clock';
import { readConfig, type Config } from '../../src/platform/config/config';
import { openDatabase, type OpenDatabase } from '../../src/platform/database/open-database';
import { createLogger } from '../../src/platform/observability/logging';
import { ContractCheck } from './contract-check';
import { TEST_SECRET } from './test-secret';
import { createTestDatabase } from './test-database';

/** A moment in the middle of the day of every zone that the tests use, unless a test sets another. */
export const TEST_NOW = Date.parse('2026-11-25T12:00:00Z');

export interface TestApp {
  app: NestFastifyApplication;
  database: OpenDatabase;
  /** holds every answer against the contract */
  contract: ContractCheck;
  /** what the application believes the time to be */
  setNow(instant: number): void;
  organisation(name: string): Promise<NewOrganisation>;
  close(): Promise<void>;
}

export interface TestAppOptions {
  /** another application, or whatever else has a database, whose database this one works on */
  beside?: Pick<TestApp, 'database'>;
  /** database that is copied; one that is migrated and empty unless said otherwise */
  template?: string;
  /** turns the address of the database into the one that the application connects to */
  reach?: (appUrl: string) => string;
  /** receives the log that would go to standard output */
  log?: DestinationStream;
}

/** The whole application on a database of its own. Every answer is held against the contract. */
export async function startTestApp(
  settings: Partial<Config> = {},
  {
    beside,
    template = process.env.PRECHARGE_TEST_TEMPLATE,
    reach = (appUrl) => appUrl,
    log,
  }: TestAppOptions = {},
): Promise<TestApp> {
  const testDatabase = beside === undefined ? await createTestDatabase(template) : null;
  const database =
    testDatabase === null ? beside!.database : await openDatabase(testDatabase.url, TEST_SECRET, null);
  const planThreadFile = join(process.cwd(), 'dist/src/modules/downtime-plans/plan-thread.js');
  const config: Config = {
    ...readConfig({ LOG_LEVEL: 'silent' }),
    secret: TEST_SECRET,
    planThreadFile,
    ...settings,
  };
  const reached = { ...database, appUrl: reach(database.appUrl) };
  const app = await createApp(reached, config, createLogger(config.logLevel, log));
  const contract = new ContractCheck(app.getHttpAdapter().getInstance());
  let now = TEST_NOW;
  app.get(Clock).now = () => now;
  await app.init();
  await app.getHttpAdapter().getInstance().ready();
  return {
    app,
    database,
    contract,
    setNow: (instant) => {
      now = instant;
    },
    organisation: (name) => createOrganisation(database.ownerUrl, name),
    close: async () => {
      await app.close();
      await testDatabase?.drop();
      contract.verify();
    },
  };
}
