import type { Role } from './role';
import { scopes, type Scope } from './scope';

/** On whose behalf something is done. */
export interface Principal {
  organisationId: string;
  /** the API key, the OAuth client or the person, or null for the system's own background work */
  actorId: string | null;
  /** of a person who is signed in: what a transaction enters by, so that it fails once the session has ended */
  sessionId?: string;
  role: Role;
  /** what it may use of its role: all of it, unless an access token was asked for with less */
  scopes: readonly Scope[];
  /** as it appears in audit entries: name and id of the key, the client or the person, or what the system was doing */
  actor: string;
}

/** How a person appears in audit entries. */
export const personActor = (name: string, personId: string): string => `${name} (person ${personId})`;

/** The background worker acting inside one organisation. */
export function systemPrincipal(organisationId: string, doing: string): Principal {
  return { organisationId, actorId: null, role: 'administrator', scopes, actor: `system: ${doing}` };
}
