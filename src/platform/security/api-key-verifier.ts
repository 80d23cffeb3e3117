import { timingSafeEqual } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { CodedError } from '../errors/coded-error';
import { Transactions } from '../database/transactions';
import { parseApiKey, sha256 } from './api-key-token';
import type { Principal } from './principal';
import type { Role } from './role';

const KEPT_MS = 30_000;
const KEPT_AT_MOST = 10_000;

/**
 * Knows whom a key belongs to. Found keys are kept for half a minute; that a key has been revoked meanwhile
 * is found out all the same, because every transaction checks it again (`app.enter`).
 */
@Injectable()
export class ApiKeyVerifier {
  private readonly kept = new Map<string, { principal: Principal; until: number }>();

  constructor(private readonly transactions: Transactions) {}

  async principalOf(text: string): Promise<Principal> {
    const token = parseApiKey(text);
    if (token === null) throw new CodedError('key-not-valid', 'This is not a key of this service.');
    const digest = sha256(text).toString('base64');
    const known = this.kept.get(digest);
    if (known !== undefined && known.until > performance.now()) return known.principal;

    const asSystem: Principal = {
      organisationId: token.organisationId,
      apiKeyId: null,
      role: 'administrator',
      actor: 'key verification',
    };
    const [key] = await this.transactions.readRows<{ name: string; role: Role; secret_sha256: Buffer }>(
      asSystem,
      {
        sql: `SELECT name, role, secret_sha256 FROM api_keys
        WHERE id = $1 AND revoked_at IS NULL AND (expires_at IS NULL OR expires_at > now())`,
        parameters: [token.apiKeyId],
      },
    );
    if (key === undefined || !timingSafeEqual(key.secret_sha256, token.secretSha256)) {
      throw new CodedError('key-not-valid', 'This key is unknown, revoked or expired.');
    }
    const principal: Principal = {
      organisationId: token.organisationId,
      apiKeyId: token.apiKeyId,
      role: key.role,
      actor: `${key.name} (key ${token.apiKeyId})`,
    };
    if (this.kept.size >= KEPT_AT_MOST) this.kept.clear();
    this.kept.set(digest, { principal, until: performance.now() + KEPT_MS });
    return principal;
  }
}
