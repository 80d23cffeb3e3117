import { createHmac, hkdfSync } from 'node:crypto';
import { Inject, Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import { DataSource } from 'typeorm';
import { DATABASE_SECRET } from './database.module';

/** Who may be meant by an address. */
export interface AddressedPerson {
  organisationId: string;
  personId: string;
}

/** Finds people by their addresses over all organisations, which row security shows one at a time. */
@Injectable()
export class PersonAddresses {
  private readonly key: Buffer;

  constructor(
    @InjectDataSource() private readonly dataSource: DataSource,
    @Inject(DATABASE_SECRET) secret: string,
  ) {
    this.key = Buffer.from(hkdfSync('sha256', secret, 'keyed digest', 'addresses of people', 32));
  }

  /** Under what an address (or a network that attempts come from) is kept: who has not the key cannot try addresses out. */
  digestOf(what: 'address' | 'network', text: string): Buffer {
    const folded = what === 'address' ? foldedAddress(text) : text;
    return createHmac('sha256', this.key).update(`${what} ${folded}`).digest();
  }

  /** Oldest organisation first. */
  find(addressDigest: Buffer): Promise<AddressedPerson[]> {
    return this.dataSource.query(
      `SELECT organisation_id AS "organisationId", person_id AS "personId" FROM app.person_addresses
        WHERE address_digest = $1 ORDER BY person_id`,
      [addressDigest],
    );
  }
}

/** Addresses that people take for the same: RFC 5321 would tell capitals before the @ apart, and nobody does. */
export function foldedAddress(address: string): string {
  return address.trim().normalize('NFC').toLowerCase();
}
