import 'reflect-metadata';
import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import pino from 'pino';
import { createApp } from '../app.setup';
import { readConfig } from '../platform/config/config';
import { findDatabaseServer, openDatabase, type OpenDatabase } from '../platform/database/open-database';
import { createLogger } from '../platform/observability/logging';

/**
 * Runs a command inside the application, on the database that the environment names, without serving requests. The log
 * goes to standard error, so that standard output holds nothing but what the command says.
 */
export async function withApplication<T>(
  work: (app: NestFastifyApplication, database: OpenDatabase) => Promise<T>,
): Promise<T> {
  const config = readConfig(process.env);
  const server = await findDatabaseServer(config, true);
  const database = await openDatabase(server.ownerUrl, server.secret, config.appDatabaseUrl);
  const app = await createApp(database, config, createLogger(config.logLevel, pino.destination(2)));
  await app.init();
  try {
    return await work(app, database);
  } finally {
    await app.close();
    await server.stop();
  }
}
