import { readConfig } from '../platform/config/config';
import { findDatabaseServer, openDatabase } from '../platform/database/open-database';
import { createOrganisation } from '../platform/database/create-organisation';

async function main(): Promise<void> {
  const name = process.argv.slice(2).join(' ').trim();
  if (name === '')
    throw new Error('Give the name of the organisation: npm run organisation -- "Name of the operator"');
  const config = readConfig(process.env);
  const server = await findDatabaseServer(config, true);
  const database = await openDatabase(server.ownerUrl, server.secret, config.appDatabaseUrl);
  const { organisationId, administratorKey } = await createOrganisation(database.ownerUrl, name);
  console.log(`Organisation ${organisationId}: ${name}`);
  console.log(`Administrator's key, shown only now:\n${administratorKey}`);
}

main().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : error);
  process.exit(1);
});
