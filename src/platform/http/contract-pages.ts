import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { SwaggerModule, type OpenAPIObject } from '@nestjs/swagger';
import type { FastifyInstance } from 'fastify';

/** The committed contract: what is served is what was reviewed, and a test keeps it equal to the code. */
export function readContract(): string {
  // beside `dist` in an installation, beside `src` under the test runner
  const root = __dirname.includes(join('dist', 'src')) ? '../../../..' : '../../..';
  return readFileSync(join(__dirname, root, 'openapi/openapi.json'), 'utf8');
}

/** The contract for machines at `/openapi.json`, and for people, offline, at `/docs`. */
export function serveContract(app: NestFastifyApplication, fastify: FastifyInstance): void {
  fastify.get('/openapi.json', (_, reply) => reply.type('application/json').send(readContract()));
  SwaggerModule.setup('docs', app, () => JSON.parse(readContract()) as OpenAPIObject, {
    customSiteTitle: 'Precharge: HTTP API',
    raw: false,
  });
}
