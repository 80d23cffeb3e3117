import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fastifyStatic from '@fastify/static';
import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import type { FastifyInstance, FastifyReply } from 'fastify';
import { CodedError } from '../errors/coded-error';

// Nothing but what this server gives out itself, no script or style written into a page.
const POLICY = [
  `default-src 'none'`,
  `script-src 'self'`,
  `style-src 'self'`,
  `img-src 'self' blob:`,
  `connect-src 'self'`,
  `worker-src 'self'`,
  `base-uri 'none'`,
  `form-action 'none'`,
  `frame-ancestors 'none'`,
].join('; ');

/** names of files below it carry a digest of their contents */
const ASSETS = '/desk/assets/';
const YEAR_SECONDS = 31_536_000;

/** The pages for people at `/desk/`, which the build has made; an address in them leads to the page that draws it. */
export async function serveDesk(app: NestFastifyApplication, fastify: FastifyInstance): Promise<void> {
  const folder = deskFolder();
  await app.register(fastifyStatic, {
    root: folder,
    prefix: '/desk/',
    wildcard: false,
    preCompressed: true,
    index: false,
    cacheControl: false,
    decorateReply: false,
    setHeaders: (reply, path) => {
      const kept = path.startsWith(join(folder, 'assets'));
      reply.header('Cache-Control', kept ? `public, max-age=${YEAR_SECONDS}, immutable` : 'no-cache');
      // what answers without a connection is bound like the pages that it answers
      reply.header('Content-Security-Policy', POLICY);
    },
  });
  fastify.get('/', (_, reply) => reply.redirect('/desk/'));
  fastify.get('/desk', (_, reply) => reply.redirect('/desk/'));
  fastify.get('/desk/', (_, reply) => answerPage(reply, folder));
  fastify.get('/desk/*', (request, reply) => {
    // a file that a later version has replaced, not a page
    if (request.url.startsWith(ASSETS))
      throw new CodedError('not-found', 'There is no such file of the desk; load the page again.');
    answerPage(reply, folder);
  });
}

function answerPage(reply: FastifyReply, folder: string): FastifyReply {
  const file = join(folder, 'index.html');
  if (!existsSync(file)) {
    return reply.code(503).type('text/plain').send('The desk has not been built: npm run build.\n');
  }
  return reply
    .header('Content-Security-Policy', POLICY)
    .header('Cache-Control', 'no-cache')
    .type('text/html; charset=utf-8')
    .send(readFileSync(file));
}

// under the test runner this file stands in `src`, the build in `dist`
function deskFolder(): string {
  return __dirname.includes(join('dist', 'src'))
    ? join(__dirname, '../../../desk')
    : join(__dirname, '../../../dist/desk');
}
