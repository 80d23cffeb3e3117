import type { Logger } from 'pino';
import { ConfigError } from './platform/config/config';
import { BackupError } from './platform/database/backup/backup-error';
import { EmbeddedPostgresError } from './platform/database/embedded-postgres/embedded-postgres-error';

/** Finishes what is under way, then leaves; a second signal does not cut it short. */
export function stopOnSignal(logger: Logger, stop: () => Promise<void>): void {
  let stopping = false;
  for (const signal of ['SIGINT', 'SIGTERM'] as const) {
    process.on(signal, () => {
      if (stopping) return;
      stopping = true;
      logger.info({ signal }, 'stopping');
      stop().then(
        () => process.exit(0),
        (error: unknown) => {
          logger.error({ err: error }, 'stopping failed');
          process.exit(1);
        },
      );
    });
  }
}

/** The end of a process that could not start: what a person can mend in words, the rest with its stack. */
export function reportAndExit(error: unknown): never {
  const expected = [ConfigError, EmbeddedPostgresError, BackupError].some((kind) => error instanceof kind);
  console.error(expected ? (error as Error).message : error);
  process.exit(1);
}
