import type { FastifyInstance } from 'fastify';

const EVERY_MS = 100;

/**
 * While the server closes, connections that have had their last answer are ended as they fall idle. Clients
 * keep them open for the next request otherwise, and the process would wait for more than a minute.
 */
export function closeIdleConnections(fastify: FastifyInstance): void {
  let timer: NodeJS.Timeout | undefined;
  fastify.addHook('preClose', (done) => {
    timer = setInterval(() => fastify.server.closeIdleConnections(), EVERY_MS);
    done();
  });
  fastify.addHook('onClose', (_, done) => {
    clearInterval(timer);
    done();
  });
}
