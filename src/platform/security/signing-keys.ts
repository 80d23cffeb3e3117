import { Inject, Injectable } from '@nestjs/common';
import {
  calculateJwkThumbprint,
  exportJWK,
  exportPKCS8,
  generateKeyPair,
  importJWK,
  importPKCS8,
  type CryptoKey,
  type JWK,
} from 'jose';
import { Clock } from '../clock/clock';
import { DATABASE_SECRET } from '../database/database.module';
import { SigningKeyStore, type SigningKeyRecord } from '../database/signing-key-store';
import { LATEST_USE_MS, SIGNING_ALGORITHM } from './access-token-rules';
import { openSecret, sealSecret } from './sealed-secret';

const DAY_MS = 86_400_000;
/** after so long whoever signs next makes a new key first */
const SIGNS_FOR_MS = 90 * DAY_MS;
/** how long a process verifies with the keys it has read: what another one retires goes on for so long */
const VERIFIES_FOR_MS = 30_000;
/** how long it signs, or takes an unknown key id for unknown, before it looks again */
const CURRENT_FOR_MS = 1_000;
/** so that tokens which another process signs in that time are accepted until they end, too */
const RETIRES_AFTER_MS = LATEST_USE_MS + CURRENT_FOR_MS;

interface SigningKey {
  keyId: string;
  privateKey: CryptoKey;
}

interface KnownKey {
  record: SigningKeyRecord;
  publicKey: CryptoKey;
}

/** The keys that sign access tokens, common to all processes of the installation. */
@Injectable()
export class SigningKeys {
  private known = new Map<string, KnownKey>();
  private readAt = -Infinity;
  private reading: Promise<void> | null = null;
  private signing: SigningKey | null = null;

  constructor(
    private readonly store: SigningKeyStore,
    private readonly clock: Clock,
    @Inject(DATABASE_SECRET) private readonly secret: string,
  ) {}

  /** The one key that signs; made where there is none, or where the last one has signed for long enough. */
  async toSign(): Promise<SigningKey> {
    await this.readIfOlderThan(CURRENT_FOR_MS);
    const dueSince = this.clock.now() - SIGNS_FOR_MS;
    let current = this.current();
    if (current === undefined || current.madeAt.getTime() <= dueSince) {
      await this.replace(new Date(dueSince), RETIRES_AFTER_MS);
      current = this.current();
    }
    if (current === undefined) throw new Error('there is no key to sign access tokens with');
    if (this.signing?.keyId !== current.keyId) this.signing = await this.opened(current);
    return this.signing;
  }

  /** The public key of an id, or null where it is unknown or retired. */
  async toVerify(keyId: string): Promise<CryptoKey | null> {
    await this.readIfOlderThan(VERIFIES_FOR_MS);
    if (!this.known.has(keyId)) await this.readIfOlderThan(CURRENT_FOR_MS);
    const found = this.known.get(keyId);
    return found !== undefined && this.isAccepted(found.record) ? found.publicKey : null;
  }

  /** What others need to verify tokens: the key that signs, and those whose tokens have not all ended. */
  async publicKeys(): Promise<JWK[]> {
    await this.readIfOlderThan(CURRENT_FOR_MS);
    const accepted = [...this.known.values()].filter(({ record }) => this.isAccepted(record));
    return accepted.map(({ record: { keyId, publicJwk } }) => ({
      ...publicJwk,
      kid: keyId,
      alg: SIGNING_ALGORITHM,
      use: 'sig',
    }));
  }

  /**
   * Makes a new key that signs from now on. Tokens of the one before are accepted until they have ended, or
   * not at all any more.
   *
   * @returns the id of the new key
   */
  async rotate(tokensBefore: 'until-they-end' | 'refused'): Promise<string> {
    await this.replace(null, tokensBefore === 'refused' ? 0 : RETIRES_AFTER_MS);
    return (await this.toSign()).keyId;
  }

  private async opened({ keyId, sealedPrivateKey }: SigningKeyRecord): Promise<SigningKey> {
    const pem = this.unsealed(keyId, sealedPrivateKey ?? Buffer.alloc(0)).toString();
    return { keyId, privateKey: await importPKCS8(pem, SIGNING_ALGORITHM) };
  }

  private unsealed(keyId: string, sealed: Buffer): Buffer {
    try {
      return openSecret(this.secret, purposeOf(keyId), sealed);
    } catch (cause) {
      const remedy = 'Give every process the same secret; where it was changed, run "npm run keys:rotate".';
      throw new Error(`${(cause as Error).message} ${remedy}`, { cause });
    }
  }

  private current(): SigningKeyRecord | undefined {
    return [...this.known.values()].find(({ record }) => record.retiresAt === null)?.record;
  }

  private isAccepted({ retiresAt }: SigningKeyRecord): boolean {
    return retiresAt === null || retiresAt.getTime() > this.clock.now();
  }

  private async replace(madeUntil: Date | null, acceptedForMs: number): Promise<void> {
    const pair = await generateKeyPair(SIGNING_ALGORITHM, { extractable: true });
    const publicJwk = await exportJWK(pair.publicKey);
    const keyId = await calculateJwkThumbprint(publicJwk);
    const pem = Buffer.from(await exportPKCS8(pair.privateKey));
    const madeAt = new Date(this.clock.now());
    const record = {
      keyId,
      publicJwk,
      sealedPrivateKey: sealSecret(this.secret, purposeOf(keyId), pem),
      madeAt,
      retiresAt: null,
    };
    await this.store.replace(record, madeUntil, new Date(madeAt.getTime() + acceptedForMs));
    // one that is running may have begun before
    await this.reading;
    await this.readIfOlderThan(0);
  }

  // those who ask while the keys are being read wait for the same answer
  private async readIfOlderThan(ageMs: number): Promise<void> {
    if (performance.now() - this.readAt < ageMs) return;
    await (this.reading ??= this.read().finally(() => (this.reading = null)));
  }

  private async read(): Promise<void> {
    const askedAt = performance.now();
    const records = await this.store.accepted(new Date(this.clock.now()));
    const known = await Promise.all(
      records.map(async (record): Promise<[string, KnownKey]> => {
        const publicKey = (await importJWK(record.publicJwk, SIGNING_ALGORITHM)) as CryptoKey;
        return [record.keyId, { record, publicKey }];
      }),
    );
    this.known = new Map(known);
    this.readAt = askedAt;
  }
}

const purposeOf = (keyId: string): string => `private key of signing key ${keyId}`;
