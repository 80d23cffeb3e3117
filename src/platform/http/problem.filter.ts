import { Catch, HttpException, type ArgumentsHost, type ExceptionFilter } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Logger } from 'pino';
import { InputError } from '../../core/shared/input-error';
import { isConnectionError, sqlStateOf } from '../database/connection-errors';
import { CodedError, bodyError, type FieldError } from '../errors/coded-error';
import type { ErrorCode } from '../errors/error-codes';
import { allowedMethodsOf } from './route-list';
import { shownPath } from './shown-path';
import { problemTable } from './problem-table';

/** RFC 9457 problem details. */
export interface ProblemDocument {
  type: string;
  title: string;
  status: number;
  detail: string;
  remedy: string;
  instance: string;
  requestId: string;
  errors?: FieldError[];
}

const RETRY_AFTER_SECONDS: Partial<Record<ErrorCode, number>> = {
  unavailable: 5,
  'request-in-progress': 1,
  'too-many-requests': 5,
};

const WITHOUT_BEARER: readonly ErrorCode[] = [
  'authentication-required',
  'session-not-valid',
  'sign-in-refused',
  'invitation-not-valid',
];

/** Every refusal and every failure leaves through here, in one form, and never with a stack or a statement. */
@Catch()
export class ProblemFilter implements ExceptionFilter {
  constructor(private readonly logger: Logger) {}

  catch(exception: unknown, host: ArgumentsHost): void {
    const http = host.switchToHttp();
    this.answer(exception, http.getRequest<FastifyRequest>(), http.getResponse<FastifyReply>());
  }

  answer(exception: unknown, request: FastifyRequest, reply: FastifyReply): void {
    const error = toCodedError(exception, request);
    if (error.code === 'internal-error') this.logger.error({ err: exception }, 'request failed');
    if (error.code === 'unavailable') this.logger.warn({ err: exception }, 'database unavailable');
    if (error.code === 'method-not-allowed') void reply.header('Allow', allowedMethodsOf(request).join(', '));
    // RFC 6750, section 3: who sent nothing is not told of an error; nor is who sent no bearer (RFC 9110, section 15.5.2)
    if (WITHOUT_BEARER.includes(error.code)) void reply.header('WWW-Authenticate', 'Bearer');
    if (error.code === 'key-not-valid' || error.code === 'token-not-valid') {
      void reply.header('WWW-Authenticate', 'Bearer error="invalid_token"');
    }
    const retryAfter = RETRY_AFTER_SECONDS[error.code];
    // whoever refuses may know better
    if (retryAfter !== undefined && !reply.hasHeader('Retry-After'))
      void reply.header('Retry-After', String(retryAfter));

    const { status, title, remedy } = problemTable[error.code];
    const problem: ProblemDocument = {
      type: `/problems/${error.code}`,
      title,
      status,
      detail: error.detail,
      remedy,
      instance: pathOf(request.url),
      requestId: request.id,
      ...(error.fields.length > 0 ? { errors: [...error.fields] } : {}),
      ...error.extensions,
    };
    void reply
      .status(status)
      // what the handler meant to send as a file is not sent
      .removeHeader('Content-Disposition')
      .header('Content-Type', 'application/problem+json; charset=utf-8')
      .send(JSON.stringify(problem));
  }
}

// As a URI reference whatever was sent; a query may carry a search text, which is nobody else's business.
function pathOf(url: string): string {
  const reference = shownPath(url).replace(/%(?![\dA-Fa-f]{2})|[^\w.~!$&'()*+,;=:@/%-]/g, encodeURIComponent);
  // an address can be as long as all headers; what is cut is not cut within %XX
  return reference.slice(0, LONGEST_INSTANCE).replace(/%[\dA-Fa-f]?$/, '');
}

// as the contract says
const LONGEST_INSTANCE = 2_000;

const CODE_BY_STATUS: Record<number, ErrorCode> = {
  404: 'not-found',
  413: 'payload-too-large',
  415: 'unsupported-media-type',
};

function toCodedError(exception: unknown, request: FastifyRequest): CodedError {
  if (exception instanceof CodedError) return exception;
  if (exception instanceof InputError) {
    return bodyError(pointerOf(exception.field), exception.message, exception.remedy);
  }
  if (isConnectionError(exception))
    return new CodedError('unavailable', 'The database does not answer at the moment.');
  if (sqlStateOf(exception) === '57014') {
    return new CodedError(
      'unavailable',
      'The database took too long for this request; ask for less at a time.',
    );
  }
  const status = statusOf(exception);
  if (status === 404) {
    const allowed = allowedMethodsOf(request);
    return allowed.length > 0
      ? new CodedError('method-not-allowed', `${request.method} is not possible here.`)
      : new CodedError('not-found', `There is nothing at ${shownPath(request.url)}.`);
  }
  // whatever else is refused before a handler runs is the request's fault, too
  if (status !== undefined && status >= 400 && status < 500)
    return new CodedError(CODE_BY_STATUS[status] ?? 'malformed-request', (exception as Error).message);
  return new CodedError('internal-error', 'The request failed for a reason that is not yours.');
}

function statusOf(exception: unknown): number | undefined {
  if (exception instanceof HttpException) return exception.getStatus();
  // what Fastify itself refuses before a handler runs
  const status = exception instanceof Error && 'statusCode' in exception ? exception.statusCode : undefined;
  return typeof status === 'number' ? status : undefined;
}

/** `rules.0.everyKm` as the JSON pointer `#/rules/0/everyKm`. */
export function pointerOf(field: string): string {
  return field === '' ? '#' : `#/${field.replaceAll('.', '/')}`;
}
