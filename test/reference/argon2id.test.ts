import { hashRaw, parseOptions, verify } from '@node-rs/argon2';
import { ARGON2_PARAMETERS, NOBODYS_HASH, Passwords } from '../../src/platform/security/passwords';

// Test vectors of the reference implementation of argon2 (phc-winner-argon2, src/test.c, argon2id, version 0x13). The vector
// of RFC 9106, section 5.3, has associated data, which the package does not take.
const VECTORS = [
  {
    memoryCost: 65_536,
    tag: '09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7',
    text: '$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc',
  },
  {
    memoryCost: 256,
    tag: '9dfeb910e80bad0311fee20f9c0e2b12c17987b4cac90c2ef54d5b3021c68bfe',
    text: '$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4',
  },
];

describe.each(VECTORS)('argon2id with $memoryCost KiB', ({ memoryCost, tag, text }) => {
  it('gives the published tag', async () => {
    const options = { ...ARGON2_PARAMETERS, memoryCost, salt: Buffer.from('somesalt') };
    expect((await hashRaw('password', options)).toString('hex')).toBe(tag);
  });

  it('knows the password of the published text, and no other', async () => {
    expect(await verify(text, 'password')).toBe(true);
    expect(await verify(text, 'passwore')).toBe(false);
  });
});

describe('stored passwords', () => {
  const passwords = new Passwords();

  // OWASP Password Storage Cheat Sheet: argon2id with at least 19 MiB, two passes and one lane
  it('have the parameters that OWASP asks for, a salt of 16 bytes and a tag of 32', async () => {
    const stored = await passwords.hash('three quiet herons wade');
    expect(stored).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/);
    expect(parseOptions(stored)).toMatchObject({ saltLen: 16, outputLen: 32 });
    expect(await passwords.hash('three quiet herons wade')).not.toBe(stored);
    expect(await passwords.isPasswordOf(stored, 'three quiet herons wade')).toBe(true);
    expect(await passwords.isPasswordOf(stored, 'three quiet herons wadE')).toBe(false);
  });

  it('are compared as long where there is none', async () => {
    expect(parseOptions(NOBODYS_HASH)).toEqual(parseOptions(await passwords.hash('three quiet herons wade')));
    expect(await passwords.isPasswordOf(null, 'three quiet herons wade')).toBe(false);
  });

  it('are computed a few at a time, and beyond a hundred in waiting not at all', async () => {
    const busy = new Passwords();
    const answers = await Promise.allSettled(
      Array.from({ length: 110 }, () => busy.isPasswordOf(VECTORS[1]?.text ?? null, 'password')),
    );
    const refused = answers.filter(({ status }) => status === 'rejected');
    expect(refused).toHaveLength(8);
    for (const each of refused) expect(each).toMatchObject({ reason: { code: 'too-many-requests' } });
    expect(answers.filter((each) => each.status === 'fulfilled' && each.value)).toHaveLength(102);
    expect(await busy.isPasswordOf(VECTORS[1]?.text ?? null, 'password')).toBe(true);
  });
});
