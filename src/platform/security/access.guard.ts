import { createHash } from 'node:crypto';
import { Readable } from 'node:stream';
import { Inject, Injectable, type CanActivate, type ExecutionContext } from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import type { FastifyReply } from 'fastify';
import type { Config } from '../config/config';
import { CONFIG } from '../config/config.module';
import { CodedError, parameterError } from '../errors/coded-error';
import { RequestAllowance } from '../http/request-allowance';
import type { IdempotentRequest, RequestWithContext } from '../http/request-context';
import { refuseBottomless } from '../http/storable-value.pipe';
import { AccessTokens } from './access-tokens';
import { ALLOWED_ROLES, NEEDED_SCOPE, PUBLIC, SESSION_ONLY } from './allow';
import { ApiKeyVerifier } from './api-key-verifier';
import type { Principal } from './principal';
import type { Role } from './role';
import { refuseFromElsewhere } from './same-origin';
import { scopeOfMethod, type Scope } from './scope';
import { sessionTokenIn } from './session-cookie';
import { SessionVerifier } from './session-verifier';

/** Who may do what: nobody, unless the operation says so. */
@Injectable()
export class AccessGuard implements CanActivate {
  constructor(
    private readonly reflector: Reflector,
    private readonly keys: ApiKeyVerifier,
    private readonly tokens: AccessTokens,
    private readonly sessions: SessionVerifier,
    private readonly allowance: RequestAllowance,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  async canActivate(execution: ExecutionContext): Promise<boolean> {
    const targets = [execution.getHandler(), execution.getClass()];
    if (this.reflector.getAllAndOverride<boolean | undefined>(PUBLIC, targets) === true) return true;

    const http = execution.switchToHttp();
    const request = http.getRequest<RequestWithContext>();
    const reply = http.getResponse<FastifyReply>();
    const principal = await this.principalOf(request);
    await this.allowance.takeRequest(principal, reply);

    if (
      principal.sessionId === undefined &&
      this.reflector.getAllAndOverride<boolean | undefined>(SESSION_ONLY, targets) === true
    ) {
      throw new CodedError('authentication-required', 'This takes the session of a person, no key or token.');
    }
    const allowed =
      this.reflector.getAllAndOverride<readonly Role[] | undefined>(ALLOWED_ROLES, targets) ?? [];
    if (!allowed.includes(principal.role)) {
      const needed = allowed.length === 0 ? 'no role' : allowed.join(', ');
      throw new CodedError('forbidden', `You have the role ${principal.role}; this takes ${needed}.`);
    }
    const scope =
      this.reflector.getAllAndOverride<Scope | undefined>(NEEDED_SCOPE, targets) ??
      scopeOfMethod(request.method);
    if (!principal.scopes.includes(scope)) {
      // RFC 6750, section 3.1
      void reply.header('WWW-Authenticate', `Bearer error="insufficient_scope", scope="${scope}"`);
      throw new CodedError(
        'insufficient-scope',
        `Your token is good for ${principal.scopes.join(' ')}; this takes ${scope}.`,
      );
    }
    request.context = { principal, idempotency: idempotencyOf(request) };
    return true;
  }

  /** By Authorization wherever there is one; only then, by the cookie of a session. */
  private principalOf(request: RequestWithContext): Promise<Principal> {
    const { authorization, cookie } = request.headers;
    if (authorization !== undefined) return this.holderOf(authorization);
    const token = sessionTokenIn(cookie, this.config.publicUrl);
    if (token === null) {
      throw new CodedError(
        'authentication-required',
        'This request carries no key, no token and no session.',
      );
    }
    refuseFromElsewhere(request, this.config.publicUrl);
    return this.sessions.principalOf(token);
  }

  private holderOf(authorization: string): Promise<Principal> {
    const [scheme, text] = authorization.split(' ');
    if (scheme?.toLowerCase() !== 'bearer' || text === undefined || text === '') {
      throw new CodedError('authentication-required', 'This request carries no key and no token.');
    }
    return isSignedToken(text) ? this.tokens.principalOf(text) : this.keys.principalOf(text);
  }
}

// header, claims and signature (RFC 7515, section 7.1); a key has no dots
const isSignedToken = (text: string): boolean => text.split('.').length === 3;

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
  refuseBottomless(request.body);
  const digest = createHash('sha256').update(`${request.method} ${request.url}\n`);
  return { key, fingerprint: digest.update(JSON.stringify(request.body ?? null)).digest('base64') };
}
