import { createCipheriv, createDecipheriv, hkdfSync, randomBytes } from 'node:crypto';

// AES-256 in Galois/Counter mode, NIST SP 800-38D: a 96-bit nonce, a 128-bit tag
const CIPHER = 'aes-256-gcm';
const KEY_BYTES = 32;
const NONCE_BYTES = 12;
const TAG_BYTES = 16;
/** first byte of what is sealed; another way of sealing would take another one */
const FORMAT = 1;

/** What was sealed does not open: it was changed, sealed for something else, or under another secret. */
export class SealBroken extends Error {}

/**
 * Encrypts what the service has to read again, such as a private key, before it is stored: a copy of the
 * database is worth nothing without the installation's secret (PRECHARGE_SECRET).
 *
 * @param purpose what it is and whose, such as `signing key <id>`: it opens for the same purpose only, so
 *   that one record's secret cannot be put into another record
 */
export function sealSecret(installationSecret: string, purpose: string, secret: Buffer): Buffer {
  const nonce = randomBytes(NONCE_BYTES);
  const cipher = createCipheriv(CIPHER, sealingKey(installationSecret, purpose), nonce);
  const sealed = Buffer.concat([cipher.update(secret), cipher.final()]);
  return Buffer.concat([Buffer.of(FORMAT), nonce, cipher.getAuthTag(), sealed]);
}

/** @throws SealBroken */
export function openSecret(installationSecret: string, purpose: string, sealed: Buffer): Buffer {
  const nonceEnd = 1 + NONCE_BYTES;
  const tagEnd = nonceEnd + TAG_BYTES;
  try {
    if (sealed[0] !== FORMAT) throw new Error(`unknown format ${sealed[0] ?? 'of nothing'}`);
    const key = sealingKey(installationSecret, purpose);
    const decipher = createDecipheriv(CIPHER, key, sealed.subarray(1, nonceEnd), {
      authTagLength: TAG_BYTES,
    });
    decipher.setAuthTag(sealed.subarray(nonceEnd, tagEnd));
    return Buffer.concat([decipher.update(sealed.subarray(tagEnd)), decipher.final()]);
  } catch (cause) {
    throw new SealBroken(`The ${purpose} does not open under this PRECHARGE_SECRET.`, { cause });
  }
}

// a key for each purpose (RFC 5869), so that none of them is used for two things
function sealingKey(installationSecret: string, purpose: string): Buffer {
  return Buffer.from(hkdfSync('sha256', installationSecret, 'sealed secret', purpose, KEY_BYTES));
}
