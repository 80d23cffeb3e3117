import type { FastifyInstance } from 'fastify';
import { notReadHere } from './form-body';

/** Files are handed over at one address only, as they arrive and never held as a whole; elsewhere they are refused. */
export function readFilesAt(fastify: FastifyInstance, path: string, types: readonly string[]): void {
  for (const type of types)
    fastify.addContentTypeParser(type, (request, payload, done) => {
      if (request.routeOptions.url === path) done(null, payload);
      else done(notReadHere(type));
    });
}
