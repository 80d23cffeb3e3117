import { createHash, randomBytes } from 'node:crypto';

/**
 * An API key as its holder knows it: `pk_<organisation><key id>_<secret>`, ids as base64url, and 256 random
 * bits of secret. The ids tell where to look the key up under row security; only the secret proves anything.
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
  const ids = Buffer.from((organisationId + apiKeyId).replaceAll('-', ''), 'hex');
  return `pk_${ids.toString('base64url')}_${secret}`;
}

/** Takes a key apart, or answers null where the text cannot be one. */
export function parseApiKey(text: string): ApiKeyToken | null {
  const match = TOKEN.exec(text);
  if (match?.[1] === undefined || match[2] === undefined) return null;
  const ids = Buffer.from(match[1], 'base64url').toString('hex');
  return {
    organisationId: uuidOf(ids.slice(0, 32)),
    apiKeyId: uuidOf(ids.slice(32)),
    secretSha256: sha256(match[2]),
  };
}

export function sha256(text: string): Buffer {
  return createHash('sha256').update(text).digest();
}

function uuidOf(hex: string): string {
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}
