import { timingSafeEqual } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { CodedError } from '../errors/coded-error';
import { Transactions } from '../database/transactions';
import { parseApiKey } from './api-key-token';
import { KeptPrincipals } from './kept-principals';
import { systemPrincipal, type Principal } from './principal';
import type { Role } from './role';
import { scopesOf } from './scope';

/** Knows whom a key belongs to. */
@Injectable()
export class ApiKeyVerifier {
  private readonly kept = new KeptPrincipals();

  constructor(private readonly transactions: Transactions) {}

  async principalOf(text: string): Promise<Principal> {
    const token = parseApiKey(text);
    if (token === null) throw new CodedError('key-not-valid', 'This is not a key of this service.');
    const { organisationId, apiKeyId, secretSha256 } = token;
    const known = this.kept.find(text);
    if (known !== null) return known;

    const [key] = await this.transactions.readRows<{ name: string; role: Role; secret_sha256: Buffer }>(
      systemPrincipal(organisationId, 'key verification'),
      {
        sql: `SELECT name, role, secret_sha256 FROM api_keys
        WHERE id = $1 AND revoked_at IS NULL AND (expires_at IS NULL OR expires_at > now())`,
        parameters: [apiKeyId],
      },
    );
    if (key === undefined || !timingSafeEqual(key.secret_sha256, secretSha256)) {
      throw new CodedError('key-not-valid', 'This key is unknown, revoked or expired.');
    }
    return this.kept.keep(text, {
      organisationId,
      actorId: apiKeyId,
      role: key.role,
      scopes: scopesOf(key.role),
      actor: `${key.name} (key ${apiKeyId})`,
    });
  }
}
