import { createParamDecorator, type ExecutionContext } from '@nestjs/common';
import type { FastifyRequest } from 'fastify';
import type { Principal } from '../security/principal';

/** A POST that may be repeated safely. */
export interface IdempotentRequest {
  key: string;
  /** digest of method, address and body: the same key with another request is refused */
  fingerprint: string;
}

/** What every service call knows about the request: who asks, and whether it is a repetition. */
export interface RequestContext {
  principal: Principal;
  idempotency: IdempotentRequest | null;
}

export interface RequestWithContext extends FastifyRequest {
  context?: RequestContext;
}

export function contextOf(request: RequestWithContext): RequestContext {
  if (request.context === undefined)
    throw new Error('a handler behind the access guard ran without a context');
  return request.context;
}

/** Hands the request's context to a controller method. */
export const Context = createParamDecorator((_: unknown, execution: ExecutionContext): RequestContext =>
  contextOf(execution.switchToHttp().getRequest<RequestWithContext>()),
);
