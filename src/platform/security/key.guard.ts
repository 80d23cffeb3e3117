import { createHash } from 'node:crypto';
import { Readable } from 'node:stream';
import { Injectable, type CanActivate, type ExecutionContext } from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import type { FastifyReply } from 'fastify';
import { CodedError, parameterError } from '../errors/coded-error';
import { RequestAllowance } from '../http/request-allowance';
import type { IdempotentRequest, RequestWithContext } from '../http/request-context';
import { ALLOWED_ROLES, PUBLIC } from './allow';
import { ApiKeyVerifier } from './api-key-verifier';
import type { Role } from './role';

/** Who may do what: nobody, unless the operation says so. */
@Injectable()
export class KeyGuard implements CanActivate {
  constructor(
    private readonly reflector: Reflector,
    private readonly verifier: ApiKeyVerifier,
    private readonly allowance: RequestAllowance,
  ) {}

  async canActivate(execution: ExecutionContext): Promise<boolean> {
    const targets = [execution.getHandler(), execution.getClass()];
    if (this.reflector.getAllAndOverride<boolean | undefined>(PUBLIC, targets) === true) return true;

    const http = execution.switchToHttp();
    const request = http.getRequest<RequestWithContext>();
    const [scheme, text] = (request.headers.authorization ?? '').split(' ');
    if (scheme?.toLowerCase() !== 'bearer' || text === undefined || text === '') {
      throw new CodedError('authentication-required', 'This request carries no key.');
    }
    const principal = await this.verifier.principalOf(text);
    await this.allowance.take(principal, http.getResponse<FastifyReply>());

    const allowed =
      this.reflector.getAllAndOverride<readonly Role[] | undefined>(ALLOWED_ROLES, targets) ?? [];
    if (!allowed.includes(principal.role)) {
      const needed = allowed.length === 0 ? 'no role' : allowed.join(', ');
      throw new CodedError('forbidden', `Your key has the role ${principal.role}; this takes ${needed}.`);
    }
    request.context = { principal, idempotency: idempotencyOf(request) };
    return true;
  }
}

const SHORTEST_IDEMPOTENCY_KEY = 8;
const LONGEST_IDEMPOTENCY_KEY = 200;

function idempotencyOf(request: RequestWithContext): IdempotentRequest | null {
  const header = request.headers['idempotency-key'];
  // a file is taken in as it arrives, so there is no body yet to know the request by
  if (header === undefined || request.method !== 'POST' || request.body instanceof Readable) return null;
  // The draft writes it as a quoted string; most clients send it bare. Both name the same key.
  const key = String(header).replace(/^"(.*)"$/, '$1');
  if (
    key.length < SHORTEST_IDEMPOTENCY_KEY ||
    key.length > LONGEST_IDEMPOTENCY_KEY ||
    !/^[\x21-\x7e]+$/.test(key)
  ) {
    throw parameterError(
      'Idempotency-Key',
      `The Idempotency-Key has ${key.length} characters or characters that are not printable ASCII.`,
      `give ${SHORTEST_IDEMPOTENCY_KEY} to ${LONGEST_IDEMPOTENCY_KEY} printable ASCII characters, such as a UUID`,
    );
  }
  const digest = createHash('sha256').update(`${request.method} ${request.url}\n`);
  return { key, fingerprint: digest.update(JSON.stringify(request.body ?? null)).digest('base64') };
}
