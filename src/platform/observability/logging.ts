import type { LoggerService } from '@nestjs/common';
import type { FastifyInstance } from 'fastify';
import { shownPath } from '../http/shown-path';
import pino, { type DestinationStream, type Logger, type LoggerOptions } from 'pino';

export const LOGGER = Symbol('logger');

const MASKED = '[masked]';

/**
 * Structured log on standard output unless another destination is given; whatever could open a door is masked
 * before it is written.
 */
export function createLogger(level: string, destination: DestinationStream = pino.destination(1)): Logger {
  const options: LoggerOptions = {
    level,
    redact: {
      paths: [
        'req.headers.authorization',
        'req.headers.cookie',
        '*.secret',
        '*.password',
        '*.token',
        '*.key',
      ],
      censor: MASKED,
    },
    serializers: { err: (error: Error) => withoutStatements(pino.stdSerializers.err(error)) },
  };
  return pino(options, destination);
}

// A failed statement carries its values, wherever it stands: errors have causes, and several come as one.
const STATEMENT = ['query', 'parameters'];

function withoutStatements(node: unknown): unknown {
  if (Array.isArray(node)) return node.map(withoutStatements);
  if (typeof node !== 'object' || node === null) return node;
  return Object.fromEntries(
    Object.entries(node).map(([name, value]) => [
      name,
      STATEMENT.includes(name) ? MASKED : withoutStatements(value),
    ]),
  );
}

/** One line for each answer: refusals and failures always, successes at level debug. */
export function logResponses(fastify: FastifyInstance, logger: Logger): void {
  fastify.addHook('onResponse', (request, reply, done) => {
    const level = reply.statusCode >= 500 ? 'error' : reply.statusCode >= 400 ? 'info' : 'debug';
    if (logger.isLevelEnabled(level)) {
      logger[level](
        {
          requestId: request.id,
          method: request.method,
          // a query may carry a cursor or a search text, not what a log is for
          path: shownPath(request.url),
          status: reply.statusCode,
          durationMs: Math.round(reply.elapsedTime * 10) / 10,
        },
        'answered',
      );
    }
    done();
  });
}

/** Lets the framework speak through the same log. */
export function frameworkLogger(logger: Logger): LoggerService {
  return {
    log: (message: unknown) => logger.debug(String(message)),
    warn: (message: unknown) => logger.warn(String(message)),
    error: (message: unknown, stack?: unknown) => logger.error({ stack }, String(message)),
    fatal: (message: unknown) => logger.fatal(String(message)),
  };
}
