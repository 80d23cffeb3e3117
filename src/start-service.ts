import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import type { Logger } from 'pino';
import { createApp } from './app.setup';
import type { Config } from './platform/config/config';
import {
  findDatabaseServer,
  openDatabase,
  type DatabaseServer,
  type OpenDatabase,
} from './platform/database/open-database';

import { startWork } from './work';

export interface RunningService {
  app: NestFastifyApplication;
  address: string;
  server: DatabaseServer;
  database: OpenDatabase;
  stop(): Promise<void>;
}

/** Database, schema and API, in this order; stopping goes the other way. */
export async function startService(config: Config, logger: Logger): Promise<RunningService> {
  const server = await findDatabaseServer(config, true);
  const database = await openDatabase(server.ownerUrl, server.secret, config.appDatabaseUrl);
  const app = await createApp(database, config, logger);
  await app.listen(config.port, config.host);
  if (config.workInApi) await startWork(app);
  return {
    app,
    address: await app.getUrl(),
    server,
    database,
    stop: async () => {
      await app.close();
      await server.stop();
    },
  };
}
