import 'reflect-metadata';
import { parseArgs } from 'node:util';
import { createApp } from '../app.setup';
import { DueItemsService } from '../modules/due-items/due-items.service';
import { readConfig } from '../platform/config/config';
import { findDatabaseServer, openDatabase } from '../platform/database/open-database';
import { Tenants } from '../platform/database/tenants';
import { createLogger } from '../platform/observability/logging';
import { systemPrincipal } from '../platform/security/principal';
import { reportAndExit } from '../process-life';

/**
 * Computes every due item again from the records: `npm run recompute [-- --organisation <id>]`. What is stored
 * always equals what this would store; it is there for a repair of the database by hand.
 */
async function main(): Promise<void> {
  const { values } = parseArgs({ options: { organisation: { type: 'string' } } });
  const config = readConfig(process.env);
  const server = await findDatabaseServer(config, true);
  const database = await openDatabase(server.ownerUrl, server.secret, config.appDatabaseUrl);
  const app = await createApp(database, config, createLogger(config.logLevel));
  await app.init();
  const ids = values.organisation === undefined ? await app.get(Tenants).ids() : [values.organisation];
  for (const organisationId of ids) {
    const started = performance.now();
    const vehicles = await app
      .get(DueItemsService)
      .recomputeInBatches(systemPrincipal(organisationId, 'recompute'));
    const seconds = (performance.now() - started) / 1000;
    console.log(JSON.stringify({ organisationId, vehicles, seconds }));
  }
  await app.close();
  await server.stop();
}

main().catch(reportAndExit);
