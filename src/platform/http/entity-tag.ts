import {
  createParamDecorator,
  Injectable,
  type CallHandler,
  type ExecutionContext,
  type NestInterceptor,
} from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { map, type Observable } from 'rxjs';
import { ApiHeader } from '@nestjs/swagger';
import { CodedError, parameterError } from '../errors/coded-error';

interface Revised {
  revision: number;
}

const isRevised = (body: unknown): body is Revised =>
  typeof body === 'object' && body !== null && 'revision' in body && typeof body.revision === 'number';

const tagOf = (revision: number): string => `"r${revision}"`;

/** Gives single records their strong ETag (their revision), and answers 304 to a reader who has it already. */
@Injectable()
export class EntityTagInterceptor implements NestInterceptor {
  intercept(execution: ExecutionContext, next: CallHandler): Observable<unknown> {
    const http = execution.switchToHttp();
    const request = http.getRequest<FastifyRequest>();
    const reply = http.getResponse<FastifyReply>();
    return next.handle().pipe(
      map((body: unknown) => {
        if (!isRevised(body)) return body;
        const tag = tagOf(body.revision);
        void reply.header('ETag', tag);
        if (request.method !== 'GET' || !isTagListed(request.headers['if-none-match'], tag)) return body;
        void reply.status(304);
        return undefined;
      }),
    );
  }
}

/** Whether If-None-Match names the tag (RFC 9110, section 13.1.2). */
export function isTagListed(header: string | undefined, tag: string): boolean {
  if (header === undefined) return false;
  return header.split(',').some((candidate) => {
    const value = candidate.trim();
    return value === '*' || value.replace(/^W\//, '') === tag;
  });
}

const IfMatchValue = createParamDecorator((_: unknown, execution: ExecutionContext): number => {
  const header = execution.switchToHttp().getRequest<FastifyRequest>().headers['if-match'];
  if (header === undefined) {
    throw new CodedError('precondition-required', 'This change needs the ETag of the record as If-Match.');
  }
  const match = /^"r(\d{1,9})"$/.exec(header.trim());
  if (match === null) {
    throw parameterError(
      'If-Match',
      `${header} is not an ETag of this record.`,
      'send the ETag as it was given, such as "r3"',
    );
  }
  return Number(match[1]);
});

/** The revision that the caller has seen, from If-Match; a change without it is refused. */
export const IfMatch = (): ParameterDecorator => (target, method, index) => {
  IfMatchValue()(target, method, index);
  const descriptor = method === undefined ? undefined : Object.getOwnPropertyDescriptor(target, method);
  if (method === undefined || descriptor === undefined)
    throw new Error('IfMatch belongs on a parameter of a handler');
  ApiHeader({
    name: 'If-Match',
    required: true,
    description: 'ETag of the record as you read it.',
    schema: { type: 'string', pattern: '^"r[0-9]{1,9}"$', maxLength: 20 },
  })(target, method, descriptor);
};

/** @throws CodedError `stale-version` when somebody else was faster */
export function expectRevision(record: Revised, expected: number): void {
  if (record.revision !== expected) {
    throw new CodedError(
      'stale-version',
      `The record is at revision ${record.revision}; your change was made to revision ${expected}.`,
      [],
      { currentETag: tagOf(record.revision) },
    );
  }
}
