import { webcrypto } from 'node:crypto';
import { openSecret, SealBroken, sealSecret } from '../../src/platform/security/sealed-secret';

const INSTALLATION = 'a secret for tests only, thirty-two characters and more';
const PURPOSE = 'signing key 1';
const SECRET = Buffer.from('what only the service may read');

describe('what is sealed', () => {
  it('opens for the same purpose under the same secret, and hides what it holds', () => {
    const sealed = sealSecret(INSTALLATION, PURPOSE, SECRET);
    expect(openSecret(INSTALLATION, PURPOSE, sealed)).toEqual(SECRET);
    expect(sealed.includes(SECRET.subarray(0, 8))).toBe(false);
    expect(openSecret(INSTALLATION, PURPOSE, sealSecret(INSTALLATION, PURPOSE, Buffer.alloc(0)))).toEqual(
      Buffer.alloc(0),
    );
  });

  it('looks different each time, so that equal secrets do not show', () => {
    const texts = Array.from({ length: 100 }, () =>
      sealSecret(INSTALLATION, PURPOSE, SECRET).toString('hex'),
    );
    expect(new Set(texts).size).toBe(100);
  });

  it('opens for nothing else, under no other secret, and with no bit changed or missing', () => {
    const sealed = sealSecret(INSTALLATION, PURPOSE, SECRET);
    expect(() => openSecret(INSTALLATION, 'signing key 2', sealed)).toThrow(SealBroken);
    expect(() => openSecret(`${INSTALLATION}.`, PURPOSE, sealed)).toThrow(SealBroken);
    for (let bit = 0; bit < sealed.length * 8; bit++) {
      const changed = Buffer.from(sealed);
      changed[bit >> 3] = (changed[bit >> 3] ?? 0) ^ (1 << (bit & 7));
      expect(() => openSecret(INSTALLATION, PURPOSE, changed)).toThrow(SealBroken);
    }
    for (let length = 0; length < sealed.length; length++) {
      expect(() => openSecret(INSTALLATION, PURPOSE, sealed.subarray(0, length))).toThrow(SealBroken);
    }
  });

  // the Web Cryptography API (W3C) as a second reader: HKDF of RFC 5869 and AES-GCM of NIST SP 800-38D
  it('is read by another implementation of the same standards', async () => {
    const sealed = sealSecret(INSTALLATION, PURPOSE, SECRET);
    const { subtle } = webcrypto;
    const bytes = (text: string) => new TextEncoder().encode(text);
    const secret = await subtle.importKey('raw', bytes(INSTALLATION), 'HKDF', false, ['deriveKey']);
    const key = await subtle.deriveKey(
      { name: 'HKDF', hash: 'SHA-256', salt: bytes('sealed secret'), info: bytes(PURPOSE) },
      secret,
      { name: 'AES-GCM', length: 256 },
      false,
      ['decrypt'],
    );
    const [nonce, tag, text] = [sealed.subarray(1, 13), sealed.subarray(13, 29), sealed.subarray(29)];
    const opened = await subtle.decrypt({ name: 'AES-GCM', iv: nonce }, key, Buffer.concat([text, tag]));
    expect(Buffer.from(opened)).toEqual(SECRET);
  });
});
