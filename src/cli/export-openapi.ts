import 'reflect-metadata';
import { writeFileSync } from 'node:fs';
import { NestFactory } from '@nestjs/core';
import { FastifyAdapter } from '@nestjs/platform-fastify';
import { AppModule } from '../app.module';
import { readConfig } from '../platform/config/config';
import { buildContract } from '../platform/http/contract';
import { createLogger } from '../platform/observability/logging';

// Only the shape of the application is looked at: nothing is connected to, nothing is started.
async function main(): Promise<void> {
  const [file] = process.argv.slice(2);
  const database = { ownerUrl: '', appUrl: 'postgres://nowhere', secret: '' };
  const module = AppModule.with(database, readConfig({}), createLogger('silent'));
  const app = await NestFactory.create(module, new FastifyAdapter(), {
    logger: false,
    preview: true,
    abortOnError: false,
  });
  const text = `${JSON.stringify(buildContract(app), null, 2)}\n`;
  if (file === undefined) process.stdout.write(text);
  else writeFileSync(file, text);
}

main().catch((error: unknown) => {
  console.error(error);
  process.exit(1);
});
