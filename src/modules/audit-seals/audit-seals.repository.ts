import { Injectable } from '@nestjs/common';
import { STORED_ENTRY, type StoredEntry } from '../../platform/audit/stored-entry';
import type { Tx } from '../../platform/database/transactions';
import { BEGINNING, type Head } from './audit-chain';

/** Where an entry stands in the change log. */
export interface LogPlace {
  xid: string;
  sequence: string;
}

/** A seal with the entry that it names, null where there is none any more. */
export interface SealedEntry extends Head {
  entryId: string;
  xid: string | null;
  entry: StoredEntry | null;
}

/** Entries that no seal names yet. */
export interface Unsealed {
  entries: number;
  oldestRecordedAt: string | null;
}

interface SealRow extends Omit<StoredEntry, 'id' | 'sequence'> {
  position: string;
  hash: Buffer;
  entryId: string;
  id: string | null;
  xid: string | null;
  sequence: string | null;
}

// Smaller than every place in the log.
const BEFORE_ALL: LogPlace = { xid: '-1', sequence: '-1' };

@Injectable()
export class AuditSealsRepository {
  /** Lets one transaction at a time append to the chain of an organisation; false while another one does. */
  async claimChain(tx: Tx, organisationId: string): Promise<boolean> {
    const [row] = await tx.query<[{ claimed: boolean }]>(
      `SELECT pg_try_advisory_xact_lock(hashtextextended('audit seals of ' || $1, 0)) AS claimed`,
      [organisationId],
    );
    return row.claimed;
  }

  async head(tx: Tx): Promise<Head & { sealedAt: Date | null }> {
    const [row] = await tx.query<{ position: string; hash: Buffer; sealedAt: Date }[]>(
      `SELECT position, hash, recorded_at AS "sealedAt" FROM audit_seals ORDER BY position DESC LIMIT 1`,
    );
    return row === undefined ? { ...BEGINNING, sealedAt: null } : { ...row, position: Number(row.position) };
  }

  /**
   * Where the newest sealed entry stands in the log, of those that are there still: one that somebody took away must not
   * stop the sealing of others.
   */
  async lastSealed(tx: Tx): Promise<LogPlace | null> {
    const [row] = await tx.query<LogPlace[]>(
      `SELECT e.xid, e.sequence FROM audit_seals s
          JOIN audit_entries e ON e.organisation_id = s.organisation_id AND e.id = s.entry_id
        ORDER BY s.position DESC LIMIT 1`,
    );
    return row ?? null;
  }

  /** The next entries of the log that no later commit can come in between any more. */
  nextToSeal(tx: Tx, after: LogPlace | null, limit: number): Promise<StoredEntry[]> {
    const { xid, sequence } = after ?? BEFORE_ALL;
    return tx.query<StoredEntry[]>(
      `SELECT ${STORED_ENTRY} FROM audit_entries e
        WHERE (e.xid, e.sequence) > ($1, $2) AND e.xid < (SELECT app.settled_before())
        ORDER BY e.xid, e.sequence LIMIT $3`,
      [xid, sequence, limit],
    );
  }

  async unsealed(tx: Tx): Promise<Unsealed> {
    const { xid, sequence } = (await this.lastSealed(tx)) ?? BEFORE_ALL;
    const [row] = await tx.query<[Unsealed]>(
      `SELECT count(*)::integer AS entries,
          to_char(min(e.recorded_at) AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"') AS "oldestRecordedAt"
        FROM audit_entries e WHERE (e.xid, e.sequence) > ($1, $2)`,
      [xid, sequence],
    );
    return row;
  }

  async append(
    tx: Tx,
    organisationId: string,
    links: readonly { position: number; entryId: string; hash: Buffer }[],
  ): Promise<void> {
    await tx.query(
      `INSERT INTO audit_seals (organisation_id, position, entry_id, hash)
        SELECT $1, * FROM unnest($2::bigint[], $3::uuid[], $4::bytea[])`,
      [
        organisationId,
        links.map(({ position }) => position),
        links.map(({ entryId }) => entryId),
        links.map(({ hash }) => hash),
      ],
    );
  }

  /** The seal at a position. */
  async sealAt(tx: Tx, position: number): Promise<SealedEntry | null> {
    return (await this.sealsAfter(tx, position - 1, 1)).find((seal) => seal.position === position) ?? null;
  }

  /** Seals behind a position, in their order. */
  async sealsAfter(tx: Tx, position: number, limit: number): Promise<SealedEntry[]> {
    const rows = await tx.query<SealRow[]>(
      `SELECT s.position, s.hash, s.entry_id AS "entryId", e.xid, ${STORED_ENTRY}
        FROM audit_seals s LEFT JOIN audit_entries e
          ON e.organisation_id = s.organisation_id AND e.id = s.entry_id
        WHERE s.position > $1 ORDER BY s.position LIMIT $2`,
      [position, limit],
    );
    return rows.map(({ position: at, hash, entryId, xid, id, sequence, ...entry }) => ({
      position: Number(at),
      hash,
      entryId,
      xid,
      entry: id === null || sequence === null ? null : { ...entry, id, sequence },
    }));
  }

  /** The first entry between two places of the log, the second included, that no seal names. */
  async firstUnsealedBetween(tx: Tx, after: LogPlace | null, upTo: LogPlace): Promise<string | null> {
    const { xid, sequence } = after ?? BEFORE_ALL;
    const [row] = await tx.query<{ id: string }[]>(
      `SELECT e.id FROM audit_entries e
        WHERE (e.xid, e.sequence) > ($1, $2) AND (e.xid, e.sequence) <= ($3, $4) AND NOT EXISTS (
          SELECT FROM audit_seals s WHERE s.organisation_id = e.organisation_id AND s.entry_id = e.id
        )
        ORDER BY e.xid, e.sequence LIMIT 1`,
      [xid, sequence, upTo.xid, upTo.sequence],
    );
    return row?.id ?? null;
  }
}
