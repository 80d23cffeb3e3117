import { createHash, randomBytes } from 'node:crypto';
import { packIds, unpackIds } from './packed-ids';

/**
 * An API key as its holder knows it: `pk_<organisation and key id>_<secret>`, with 256 random bits of secret.
 * Only the secret proves anything.
 */
export interface ApiKeyToken {
  organisationId: string;
  apiKeyId: string;
  secretSha256: Buffer;
}

const TOKEN = /^pk_([A-Za-z0-9_-]{43})_([A-Za-z0-9_-]{43})$/;

export function newSecret(): string {
  return randomBytes(32).toString('base64url');
}

export function formatApiKey(organisationId: string, apiKeyId: string, secret: string): string {
  return `pk_${packIds(organisationId, apiKeyId)}_${secret}`;
}

/** Takes a key apart, or answers null where the text cannot be one. */
export function parseApiKey(text: string): ApiKeyToken | null {
  const match = TOKEN.exec(text);
  if (match?.[1] === undefined || match[2] === undefined) return null;
  const { organisationId, id } = unpackIds(match[1]);
  return { organisationId, apiKeyId: id, secretSha256: sha256(match[2]) };
}

export function sha256(text: string): Buffer {
  return createHash('sha256').update(text).digest();
}
