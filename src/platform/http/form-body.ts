import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { CodedError } from '../errors/coded-error';

export const FORM = 'application/x-www-form-urlencoded';

/** Reads forms where an operation takes them, as text; everywhere else they are refused like any unknown type. */
export function readFormsAt(app: NestFastifyApplication, fastify: FastifyInstance, path: string): void {
  app.useBodyParser(FORM, {}, (request: FastifyRequest, body: Buffer, done) => {
    if (request.routeOptions.url === path) done(null, body.toString('utf8'));
    else done(notReadHere(FORM));
  });
  // before anything else is tried to be read, whose faults would be told in another form than that of OAuth
  fastify.addHook('onRequest', (request, _reply, done) => {
    const type = request.headers['content-type'];
    const isRead = request.routeOptions.url !== path || type === undefined || isForm(type);
    done(isRead ? undefined : notReadHere(type));
  });
}

/** The fields of a form. @throws CodedError `unsupported-media-type` where the body is something else */
export function formOf({ headers, body }: FastifyRequest): URLSearchParams {
  const type = headers['content-type'] ?? 'a body without a type';
  if (typeof body !== 'string' || !isForm(type)) throw notReadHere(type);
  return new URLSearchParams(body);
}

const isForm = (type: string): boolean => type.toLowerCase().startsWith(FORM);

export function notReadHere(type: string): CodedError {
  return new CodedError('unsupported-media-type', `${type} is not read here.`);
}
