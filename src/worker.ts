import './compile-cache';
import 'reflect-metadata';
import { createApp } from './app.setup';
import { readConfig } from './platform/config/config';
import { findDatabaseServer, openDatabase } from './platform/database/open-database';
import { createLogger } from './platform/observability/logging';
import { reportAndExit, stopOnSignal } from './process-life';
import { startWork } from './work';

// Background jobs alone: the same application without a listening port.
async function main(): Promise<void> {
  const config = readConfig(process.env);
  const logger = createLogger(config.logLevel);
  const server = await findDatabaseServer(config, true);
  const database = await openDatabase(server.ownerUrl, server.secret, config.appDatabaseUrl);
  const app = await createApp(database, config, logger);
  await app.init();
  await startWork(app);
  logger.info('worker ready');
  stopOnSignal(logger, async () => {
    await app.close();
    await server.stop();
  });
}

main().catch(reportAndExit);
