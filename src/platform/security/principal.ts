import type { Role } from './role';
import { scopes, type Scope } from './scope';

/** On whose behalf something is done. */
export interface Principal {
  organisationId: string;
  /** the API key or the OAuth client, or null for the system's own background work */
  actorId: string | null;
  role: Role;
  /** what it may use of its role: all of it, unless an access token was asked for with less */
  scopes: readonly Scope[];
  /** as it appears in audit entries: name and id of the key or the client, or what the system was doing */
  actor: string;
}

/** The background worker acting inside one organisation. */
export function systemPrincipal(organisationId: string, doing: string): Principal {
  return { organisationId, actorId: null, role: 'administrator', scopes, actor: `system: ${doing}` };
}
