import type { Role } from './role';

/** On whose behalf something is done. */
export interface Principal {
  organisationId: string;
  /** the API key, or null for the system's own background work */
  apiKeyId: string | null;
  role: Role;
  /** as it appears in audit entries: the key's name and id, or what the system was doing */
  actor: string;
}

/** The background worker acting inside one organisation. */
export function systemPrincipal(organisationId: string, doing: string): Principal {
  return { organisationId, apiKeyId: null, role: 'administrator', actor: `system: ${doing}` };
}
