import 'reflect-metadata';
import { ConfigError, readConfig } from './platform/config/config';
import { EmbeddedPostgresError } from './platform/database/embedded-postgres/embedded-postgres-error';
import { createLogger } from './platform/observability/logging';
import { startService } from './start-service';

async function main(): Promise<void> {
  const config = readConfig(process.env);
  const logger = createLogger(config.logLevel);
  const service = await startService(config, logger);
  if (service.server.explanation !== null) logger.info(service.server.explanation);
  logger.info({ address: service.address }, 'ready');

  let stopping = false;
  for (const signal of ['SIGINT', 'SIGTERM'] as const) {
    process.on(signal, () => {
      if (stopping) return;
      stopping = true;
      logger.info({ signal }, 'stopping');
      service.stop().then(
        () => process.exit(0),
        (error: unknown) => {
          logger.error({ err: error }, 'stopping failed');
          process.exit(1);
        },
      );
    });
  }
}

main().catch((error: unknown) => {
  // what a person can mend is said in words; the rest with its stack
  const expected = error instanceof ConfigError || error instanceof EmbeddedPostgresError;
  console.error(expected ? error.message : error);
  process.exit(1);
});
