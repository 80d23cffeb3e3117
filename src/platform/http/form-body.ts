import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import type { FastifyRequest } from 'fastify';
import { CodedError } from '../errors/coded-error';

export const FORM = 'application/x-www-form-urlencoded';

/** Reads forms where an operation takes them, as text; everywhere else they are refused like any unknown type. */
export function readFormsAt(app: NestFastifyApplication, path: string): void {
  app.useBodyParser(FORM, {}, (request: FastifyRequest, body: Buffer, done) => {
    if (request.routeOptions.url === path) done(null, body.toString('utf8'));
    else done(notReadHere(FORM));
  });
}

/** The fields of a form. @throws CodedError `unsupported-media-type` where the body is something else */
export function formOf({ headers, body }: FastifyRequest): URLSearchParams {
  const type = headers['content-type'] ?? 'a body without a type';
  if (typeof body !== 'string' || !type.toLowerCase().startsWith(FORM)) throw notReadHere(type);
  return new URLSearchParams(body);
}

export function notReadHere(type: string): CodedError {
  return new CodedError('unsupported-media-type', `${type} is not read here.`);
}
