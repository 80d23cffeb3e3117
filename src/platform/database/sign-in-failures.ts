import { Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import { DataSource, type EntityManager } from 'typeorm';
import {
  OF_ADDRESS,
  OF_ADDRESS_AND_NETWORK,
  OF_NETWORK,
  waitMs,
  withOneMore,
  type CountedFailures,
  type FailureLimit,
} from '../security/sign-in-waits';

/** What an attempt to sign in has been told before anybody looked at its password. */
export interface CountedAttempt {
  /** how long whoever is not known there has to wait; 0: not at all */
  waitMs: number;
  /** failures of this address from this network, this one included */
  failures: number;
  /** if it fails, whoever tries next has to wait, which had not to be so far */
  beginsToWait: boolean;
}

interface Row {
  kind: Kind;
  failures: number;
  firstAt: Date;
  lastAt: Date;
}

type Kind = 'pair' | 'address' | 'network';

const LIMITS: Readonly<Record<Kind, FailureLimit>> = {
  pair: OF_ADDRESS_AND_NETWORK,
  address: OF_ADDRESS,
  network: OF_NETWORK,
};
const KINDS = ['pair', 'address', 'network'] as const;

/**
 * Counts failed attempts to sign in, over all processes. An attempt is counted before its password is looked at and
 * taken back when it was right, so that many at the same moment are not more than many in a row. Addresses are counted
 * whether they exist or not, and are kept as digests, since people type passwords where addresses belong.
 */
@Injectable()
export class SignInFailures {
  constructor(@InjectDataSource() private readonly dataSource: DataSource) {}

  /** @param trusted counted although it would have to wait, because the right password is accepted from there */
  begin(address: Buffer, network: Buffer, trusted: boolean): Promise<CountedAttempt> {
    return this.dataSource.transaction(async (tx) => {
      const { now, counted } = await lockCounted(tx, address, network);
      const waits = KINDS.map((kind) => waitMs(counted[kind], LIMITS[kind], now));
      const wait = Math.max(...waits);
      if (wait > 0 && !trusted) {
        return { waitMs: wait, failures: counted.pair?.failures ?? 0, beginsToWait: false };
      }
      const after = KINDS.map((kind) => withOneMore(counted[kind], LIMITS[kind], now));
      await write(tx, address, network, after);
      const [pair, ofAddress] = after;
      return {
        waitMs: wait,
        failures: pair?.failures ?? 0,
        beginsToWait:
          pair?.failures === OF_ADDRESS_AND_NETWORK.free || ofAddress?.failures === OF_ADDRESS.free,
      };
    });
  }

  /** Takes the count of an attempt back: its password was right. */
  async takeBack(address: Buffer, network: Buffer): Promise<void> {
    await this.dataSource.query(
      `UPDATE app.sign_in_failures SET failures = greatest(0, failures - 1)
        WHERE (address_digest, network_digest) IN (${PLACES})`,
      [address, network],
    );
  }
}

// of both, of the address from anywhere, of the network for any address
const PLACES = `($1::bytea, $2::bytea), ($1::bytea, ''::bytea), (''::bytea, $2::bytea)`;
const KIND = `CASE WHEN network_digest = '' THEN 'address' WHEN address_digest = '' THEN 'network' ELSE 'pair' END`;

async function lockCounted(
  tx: EntityManager,
  address: Buffer,
  network: Buffer,
): Promise<{ now: number; counted: Record<Kind, CountedFailures | null> }> {
  // attempts at the same address or from the same network take turns
  await tx.query(
    `SELECT pg_advisory_xact_lock(hashtextextended(encode(place, 'hex'), 0))
      FROM unnest(ARRAY[$1::bytea, $2::bytea]) AS place ORDER BY place`,
    [address, network],
  );
  const rows = await tx.query<Row[]>(
    `SELECT ${KIND} AS kind, failures, first_at AS "firstAt", last_at AS "lastAt" FROM app.sign_in_failures
      WHERE (address_digest, network_digest) IN (${PLACES})`,
    [address, network],
  );
  const [clock] = await tx.query<[{ now: Date }]>(`SELECT clock_timestamp() AS now`);
  const countedOf = (kind: Kind): CountedFailures | null => {
    const row = rows.find((each) => each.kind === kind);
    return row === undefined
      ? null
      : { failures: row.failures, firstAt: row.firstAt.getTime(), lastAt: row.lastAt.getTime() };
  };
  return {
    now: clock.now.getTime(),
    counted: { pair: countedOf('pair'), address: countedOf('address'), network: countedOf('network') },
  };
}

// with every attempt a few of those go that nobody counts any more
async function write(
  tx: EntityManager,
  address: Buffer,
  network: Buffer,
  after: readonly CountedFailures[],
): Promise<void> {
  await tx.query(
    `WITH forgotten AS (
        SELECT address_digest, network_digest FROM app.sign_in_failures
          WHERE last_at < now() - interval '2 days' LIMIT 10 FOR UPDATE SKIP LOCKED
      ), removed AS (
        DELETE FROM app.sign_in_failures f USING forgotten g
          WHERE f.address_digest = g.address_digest AND f.network_digest = g.network_digest
            AND f.address_digest <> $1::bytea AND f.network_digest <> $2::bytea
      )
      INSERT INTO app.sign_in_failures (address_digest, network_digest, failures, first_at, last_at)
        SELECT * FROM unnest(ARRAY[$1, $1, ''::bytea], ARRAY[$2, ''::bytea, $2], $3::integer[], $4::timestamptz[],
          $5::timestamptz[])
      ON CONFLICT (address_digest, network_digest) DO UPDATE
        SET failures = EXCLUDED.failures, first_at = EXCLUDED.first_at, last_at = EXCLUDED.last_at`,
    [
      address,
      network,
      after.map(({ failures }) => failures),
      after.map(({ firstAt }) => new Date(firstAt)),
      after.map(({ lastAt }) => new Date(lastAt)),
    ],
  );
}
