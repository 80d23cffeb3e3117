import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { createApp } from '../../src/app.setup';
import { createOrganisation, type NewOrganisation } from '../../src/platform/database/create-organisation';
import { Clock } from '../../src/platform/clock/clock';
import { readConfig, type Config } from '../../src/platform/config/config';
import { openDatabase, type OpenDatabase } from '../../src/platform/database/open-database';
import { createLogger } from '../../src/platform/observability/logging';
import { TEST_SECRET } from './test-secret';
import { createTestDatabase } from './test-database';

/** A moment in the middle of the day of every zone that the tests use, unless a test sets another. */
export const TEST_NOW = Date.parse('2026-11-25T12:00:00Z');

export interface TestApp {
  app: NestFastifyApplication;
  database: OpenDatabase;
  /** what the application believes the time to be */
  setNow(instant: number): void;
  organisation(name: string): Promise<NewOrganisation>;
  close(): Promise<void>;
}

/** The whole application on a database of its own. */
export async function startTestApp(settings: Partial<Config> = {}): Promise<TestApp> {
  const testDatabase = await createTestDatabase(process.env.PRECHARGE_TEST_TEMPLATE);
  const config: Config = { ...readConfig({ LOG_LEVEL: 'silent' }), secret: TEST_SECRET, ...settings };
  const database = await openDatabase(testDatabase.url, TEST_SECRET, null);
  const app = await createApp(database, config, createLogger(config.logLevel));
  let now = TEST_NOW;
  app.get(Clock).now = () => now;
  await app.init();
  await app.getHttpAdapter().getInstance().ready();
  return {
    app,
    database,
    setNow: (instant) => {
      now = instant;
    },
    organisation: (name) => createOrganisation(database.ownerUrl, name),
    close: async () => {
      await app.close();
      await testDatabase.drop();
    },
  };
}
