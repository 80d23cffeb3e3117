import { Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import type { JWK } from 'jose';
import { DataSource } from 'typeorm';

export interface SigningKeyRecord {
  /** SHA-256 thumbprint of the public key (RFC 7638) */
  keyId: string;
  publicJwk: JWK;
  /** null once another key signs: nobody needs it any more */
  sealedPrivateKey: Buffer | null;
  madeAt: Date;
  /** null for the key that signs; from then on its tokens are refused */
  retiresAt: Date | null;
}

/** Keeps the signing keys of the installation. They belong to no organisation. */
@Injectable()
export class SigningKeyStore {
  constructor(@InjectDataSource() private readonly dataSource: DataSource) {}

  /** The keys whose tokens count at a moment. */
  accepted(at: Date): Promise<SigningKeyRecord[]> {
    return this.dataSource.query(
      `SELECT key_id AS "keyId", public_jwk AS "publicJwk", sealed_private_key AS "sealedPrivateKey",
          made_at AS "madeAt", retires_at AS "retiresAt"
        FROM app.signing_keys WHERE retires_at IS NULL OR retires_at > $1`,
      [at],
    );
  }

  /**
   * Puts a key in the place of the one that signs; no key before it is accepted beyond `retiresAt`.
   *
   * @param madeUntil nothing happens where that one was made later, because then another process was faster;
   *   null replaces whichever there is
   */
  async replace(key: SigningKeyRecord, madeUntil: Date | null, retiresAt: Date): Promise<void> {
    await this.dataSource.transaction(async (tx) => {
      await tx.query(`SELECT pg_advisory_xact_lock(hashtext('precharge signing key'))`);
      const newer = await tx.query<unknown[]>(
        `SELECT FROM app.signing_keys WHERE retires_at IS NULL AND made_at > $1`,
        [madeUntil],
      );
      if (newer.length > 0) return;
      await tx.query(
        `UPDATE app.signing_keys SET retires_at = $1, sealed_private_key = NULL
          WHERE retires_at IS NULL OR retires_at > $1`,
        [retiresAt],
      );
      await tx.query(
        `INSERT INTO app.signing_keys (key_id, public_jwk, sealed_private_key, made_at) VALUES ($1, $2, $3, $4)`,
        [key.keyId, key.publicJwk, key.sealedPrivateKey, key.madeAt],
      );
    });
  }
}
