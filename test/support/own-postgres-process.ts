import { writeSync } from 'node:fs';
import {
  startEmbeddedPostgres,
  type EmbeddedPostgresOptions,
} from '../../src/platform/database/embedded-postgres/start-embedded-postgres';

// Starts (or attaches to) a server, says so in one line of JSON and stays until it is killed or its stdin ends.
async function main(): Promise<void> {
  const options = JSON.parse(process.argv[2] ?? '') as EmbeddedPostgresOptions;
  const { pid, port, reattached, url } = await startEmbeddedPostgres(options);
  writeSync(1, `${JSON.stringify({ pid, port, reattached, url: url(), uid: process.getuid?.() })}\n`);
  process.stdin.resume();
}

main().catch((error: unknown) => {
  console.error(error);
  process.exitCode = 1;
});
