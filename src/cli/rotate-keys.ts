import 'reflect-metadata';
import { parseArgs } from 'node:util';
import { createApp } from '../app.setup';
import { readConfig } from '../platform/config/config';
import { findDatabaseServer, openDatabase } from '../platform/database/open-database';
import { createLogger } from '../platform/observability/logging';
import { SigningKeys } from '../platform/security/signing-keys';
import { reportAndExit } from '../process-life';

/**
 * Makes a new key to sign access tokens: `npm run keys:rotate`. Tokens of the old key are accepted until they end. With
 * `-- --refuse-old-tokens`, for a key that has become known, they are refused: clients ask for new ones.
 */
async function main(): Promise<void> {
  const { values } = parseArgs({ options: { 'refuse-old-tokens': { type: 'boolean', default: false } } });
  const config = readConfig(process.env);
  const server = await findDatabaseServer(config, true);
  const database = await openDatabase(server.ownerUrl, server.secret, config.appDatabaseUrl);
  const app = await createApp(database, config, createLogger(config.logLevel));
  await app.init();
  const refused = values['refuse-old-tokens'];
  const keyId = await app.get(SigningKeys).rotate(refused ? 'refused' : 'until-they-end');
  console.log(`Access tokens are signed with the key ${keyId} from now on.`);
  console.log(
    refused
      ? 'Tokens of the keys before are refused; other processes hear of it within half a minute.'
      : 'Tokens of the key before are accepted until they end.',
  );
  await app.close();
  await server.stop();
}

main().catch(reportAndExit);
