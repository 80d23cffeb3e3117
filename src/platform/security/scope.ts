import type { Role } from './role';

/** What an access token may be used for, within the role of its client (RFC 6749, section 3.3). */
export const scopes = ['read', 'write', 'manage-access'] as const;

export type Scope = (typeof scopes)[number];

export const scopeMeanings: Readonly<Record<Scope, string>> = {
  read: 'Reads records, and calculates without storing anything.',
  write: 'Adds and changes records.',
  'manage-access':
    'Makes, rotates and revokes API keys, OAuth clients and addresses of calendars, and invites people.',
};

/** All that a role has; a client can be given less, and a token can ask for less again. */
export function scopesOf(role: Role): readonly Scope[] {
  return role === 'administrator' ? scopes : ['read', 'write'];
}

/** What an operation needs unless it says otherwise: a safe method (RFC 9110, section 9.2.1) reads. */
export function scopeOfMethod(method: string): Scope {
  return ['GET', 'HEAD'].includes(method.toUpperCase()) ? 'read' : 'write';
}
