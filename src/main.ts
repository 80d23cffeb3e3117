import './compile-cache';
import 'reflect-metadata';
import { readConfig } from './platform/config/config';
import { reportAndExit, stopOnSignal } from './process-life';
import { createLogger } from './platform/observability/logging';
import { startService } from './start-service';

async function main(): Promise<void> {
  const config = readConfig(process.env);
  const logger = createLogger(config.logLevel);
  const service = await startService(config, logger);
  if (service.server.explanation !== null) logger.info(service.server.explanation);
  logger.info({ address: service.address }, 'ready');

  stopOnSignal(logger, () => service.stop());
}

main().catch(reportAndExit);
