import { applyDecorators, SetMetadata } from '@nestjs/common';
import { ApiExtension } from '@nestjs/swagger';
import { everybody, type Role } from './role';
import type { Scope } from './scope';

export const ALLOWED_ROLES = 'allowed-roles';
export const NEEDED_SCOPE = 'needed-scope';
export const PUBLIC = 'public';
export const SESSION_ONLY = 'session-only';

/**
 * Opens an operation to the given roles. An operation without it (or `Public`) answers nobody.
 *
 * @param scope what an access token has to be good for, where the method does not tell: a POST that only
 *   calculates, or an operation on who may sign in
 */
export const Allow = (roles: readonly Role[], scope?: Scope): MethodDecorator & ClassDecorator =>
  applyDecorators(
    SetMetadata(ALLOWED_ROLES, roles),
    ApiExtension('x-allowed-roles', [...roles]),
    ...(scope === undefined ? [] : [SetMetadata(NEEDED_SCOPE, scope), ApiExtension('x-needed-scope', scope)]),
  );

/** Opens an operation to people who have signed in, whatever their role, and to no key and no token. */
export const SessionOnly = (): MethodDecorator & ClassDecorator =>
  applyDecorators(
    Allow(everybody, 'read'),
    SetMetadata(SESSION_ONLY, true),
    ApiExtension('x-session-only', true),
  );

/**
 * Opens an operation to callers without a key: health, the contract, signing in; never data of an organisation, unless
 * the address itself is the secret.
 */
export const Public = (): MethodDecorator & ClassDecorator =>
  applyDecorators(SetMetadata(PUBLIC, true), ApiExtension('x-public', true));
