import { createHash } from 'node:crypto';
import type { Principal } from './principal';

const KEPT_MS = 30_000;
const KEPT_AT_MOST = 10_000;

/**
 * Remembers for half a minute whom a key or token belongs to, by its digest. That it has been revoked meanwhile
 * is found out all the same, because every transaction checks it again (`app.enter`).
 */
export class KeptPrincipals {
  private readonly kept = new Map<string, { principal: Principal; until: number }>();

  find(credential: string): Principal | null {
    const known = this.kept.get(digestOf(credential));
    return known !== undefined && known.until > performance.now() ? known.principal : null;
  }

  /** @param atMostMs for a credential that expires by itself */
  keep(credential: string, principal: Principal, atMostMs = KEPT_MS): Principal {
    if (this.kept.size >= KEPT_AT_MOST) this.kept.clear();
    this.kept.set(digestOf(credential), {
      principal,
      until: performance.now() + Math.min(KEPT_MS, atMostMs),
    });
    return principal;
  }
}

const digestOf = (credential: string): string => createHash('sha256').update(credential).digest('base64');
