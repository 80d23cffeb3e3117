import { parseArgs } from 'node:util';
import { DueItemsService } from '../modules/due-items/due-items.service';
import { Tenants } from '../platform/database/tenants';
import { systemPrincipal } from '../platform/security/principal';
import { reportAndExit } from '../process-life';
import { withApplication } from './with-application';

/**
 * Computes every due item again from the records: `npm run recompute [-- --organisation <id>]`. What is stored
 * always equals what this would store; it is there for a repair of the database by hand.
 */
async function main(): Promise<void> {
  const { values } = parseArgs({ options: { organisation: { type: 'string' } } });
  await withApplication(async (app) => {
    const ids = values.organisation === undefined ? await app.get(Tenants).ids() : [values.organisation];
    for (const organisationId of ids) {
      const started = performance.now();
      const vehicles = await app
        .get(DueItemsService)
        .recomputeInBatches(systemPrincipal(organisationId, 'recompute'));
      const seconds = (performance.now() - started) / 1000;
      console.log(JSON.stringify({ organisationId, vehicles, seconds }));
    }
  });
}

main().catch(reportAndExit);
