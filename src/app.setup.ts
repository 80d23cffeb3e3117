import { randomUUID } from 'node:crypto';
import { maxHeaderSize } from 'node:http';
import accepts from '@fastify/accepts';
import helmet from '@fastify/helmet';
import { NestFactory } from '@nestjs/core';
import { FastifyAdapter, type NestFastifyApplication } from '@nestjs/platform-fastify';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Logger } from 'pino';
import { AppModule } from './app.module';
import type { Config } from './platform/config/config';
import type { OpenDatabase } from './platform/database/open-database';
import { CodedError } from './platform/errors/coded-error';
import { ExportListsInterceptor } from './platform/exports/export-lists.interceptor';
import { closeIdleConnections } from './platform/http/close-idle-connections';
import { serveContract } from './platform/http/contract-pages';
import { EntityTagInterceptor } from './platform/http/entity-tag';
import { readFilesAt } from './platform/http/file-body';
import { readFormsAt } from './platform/http/form-body';
import { NextLinkInterceptor } from './platform/http/next-link';
import { ProblemFilter } from './platform/http/problem.filter';
import { keepRouteList } from './platform/http/route-list';
import { serveDesk } from './platform/http/serve-desk';
import { StorableValuePipe } from './platform/http/storable-value.pipe';
import { createValidationPipe } from './platform/http/validation.pipe';
import { frameworkLogger, logResponses } from './platform/observability/logging';
import { Metrics } from './platform/observability/metrics';

const PRODUCED = [
  'application/json',
  'application/problem+json',
  'text/csv',
  'application/x-ndjson',
  'text/plain',
  'text/html',
  'text/event-stream',
  'text/calendar',
];

/** The application as the API process, the tests and the contract export all start it. */
export async function createApp(
  database: OpenDatabase,
  config: Config,
  logger: Logger,
): Promise<NestFastifyApplication> {
  const problems = new ProblemFilter(logger);
  const adapter = new FastifyAdapter({
    bodyLimit: config.bodyLimitBytes,
    trustProxy: config.trustedProxies,
    genReqId: () => randomUUID(),
    // an address that cannot be decoded is refused before any hook or filter runs
    frameworkErrors: (error: Error, request: FastifyRequest, reply: FastifyReply) => {
      void reply.header('X-Request-Id', request.id);
      problems.answer(error, request, reply);
    },
    // as long as an address can be: what is too long for an id is refused by name, like all that is none
    routerOptions: { maxParamLength: maxHeaderSize },
  });
  const fastify = adapter.getInstance<FastifyInstance>();
  keepRouteList(fastify);
  logResponses(fastify, logger);
  closeIdleConnections(fastify);

  const app = await NestFactory.create<NestFastifyApplication>(
    AppModule.with(database, config, logger),
    adapter,
    {
      logger: frameworkLogger(logger),
      abortOnError: false,
    },
  );
  app.get(Metrics).observeResponses(fastify);
  await app.register(helmet, { contentSecurityPolicy: { directives: { scriptSrc: ["'self'"] } } });
  await app.register(accepts);
  fastify.addContentTypeParser(
    'application/merge-patch+json',
    { parseAs: 'string' },
    fastify.getDefaultJsonParser('error', 'error'),
  );
  readFilesAt(fastify, '/v1/imports', ['text/csv', 'application/x-ndjson']);
  // Fastify reads plain text as well, which nothing here takes
  fastify.removeContentTypeParser('text/plain');
  fastify.addHook('onRequest', (request, reply, done) => {
    void reply.header('X-Request-Id', request.id);
    const acceptable = request.headers.accept === undefined || request.accepts().type(PRODUCED) !== false;
    done(
      acceptable
        ? undefined
        : new CodedError('not-acceptable', `${request.headers.accept ?? ''} is not made here.`),
    );
  });
  readFormsAt(app, fastify, '/v1/oauth/token');
  serveContract(app, fastify);
  await serveDesk(app, fastify);
  app.useGlobalPipes(new StorableValuePipe(), createValidationPipe());
  app.useGlobalFilters(problems);
  app.useGlobalInterceptors(
    new EntityTagInterceptor(),
    new NextLinkInterceptor(),
    app.get(ExportListsInterceptor),
  );
  return app;
}
