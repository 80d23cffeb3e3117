import { CodedError } from '../../platform/errors/coded-error';
import type { Role } from '../../platform/security/role';
import { scopesOf, type Scope } from '../../platform/security/scope';

export function beyondTheRole(role: Role, beyond: readonly Scope[]): CodedError {
  return new CodedError(
    'validation-failed',
    'A client can only have scopes of its role.',
    beyond.map((scope) => ({
      pointer: '#/scopes',
      detail: `the role ${role} has no scope ${scope}`,
      remedy: `give some of ${scopesOf(role).join(', ')}, or leave the field out`,
    })),
  );
}

export function isRevoked(): CodedError {
  return new CodedError(
    'state-conflict',
    'This client is revoked and its secret cannot be rotated; make a new one.',
  );
}
