import 'reflect-metadata';
import { chmodSync, mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  startEmbeddedPostgres,
  type EmbeddedPostgres,
} from '../../src/platform/database/embedded-postgres/start-embedded-postgres';
import { makeTemplate } from './make-template';

export interface TestPostgres {
  readonly server: EmbeddedPostgres;
  readonly folder: string;
}

declare global {
  // the set-up and the tear-down of Jest share nothing else
  var prechargeTestPostgres: TestPostgres | undefined;
}

const PREFIX = 'precharge-test-postgres-';
const DAY_MS = 86_400_000;

export default async function startTestPostgres(): Promise<void> {
  if (process.env.DATABASE_URL) {
    process.env.PRECHARGE_TEST_POSTGRES_URL = process.env.DATABASE_URL;
    process.env.PRECHARGE_TEST_TEMPLATE = await makeTemplate(process.env.DATABASE_URL);
    return;
  }
  removeForgottenFolders();
  const folder = mkdtempSync(join(tmpdir(), PREFIX));
  chmodSync(folder, 0o711); // as root the server runs as another user, who has to pass through
  try {
    const server = await startEmbeddedPostgres({
      dataDir: join(folder, 'data'),
      mode: 'child',
      durable: false,
    });
    globalThis.prechargeTestPostgres = { server, folder };
    process.env.PRECHARGE_TEST_POSTGRES_URL = server.url();
    process.env.PRECHARGE_TEST_TEMPLATE = await makeTemplate(server.url());
  } catch (error) {
    rmSync(folder, { recursive: true, force: true });
    throw error;
  }
}

// A test run that was killed took its server along but could not remove its files.
function removeForgottenFolders(): void {
  for (const name of readdirSync(tmpdir()).filter((entry) => entry.startsWith(PREFIX))) {
    const path = join(tmpdir(), name);
    const stats = statSync(path, { throwIfNoEntry: false });
    if (stats && stats.uid === process.getuid?.() && stats.mtimeMs < Date.now() - DAY_MS)
      rmSync(path, { recursive: true, force: true });
  }
}
