import { Injectable } from '@nestjs/common';
import type { Statement, Tx } from '../../platform/database/transactions';
import type { ChangeRow } from './dto/change.dto';

/** A place between two changes of the feed; bigints as texts. */
export interface FeedPlace {
  xid: string;
  sequence: string;
}

/** Names the history of the server that a cursor was made in: see docs/change-feed.md. */
export interface HistoryTag {
  history: string;
  historyTag: string;
}

export interface FeedQuery {
  /** null: from the oldest change that is kept */
  after: (FeedPlace & HistoryTag) | null;
  types: readonly string[] | null;
  /** subjects that the reader is not to be told of */
  hiddenSubjects: readonly string[];
  limit: number;
}

/** One row for each change of the page, and one without a change where there is none. */
export type FeedRow = {
  /** every change before it is in the page, or was before the page */
  settled: string;
  /** the cursor's history is one of this database's own */
  known: boolean;
  /** changes after the cursor are gone */
  gone: boolean;
} & HistoryTag &
  ((FeedPlace & ChangeRow) | { id: null });

/**
 * Reads changes in their order. One statement, because what is settled, what is kept and what is there have to be
 * seen at the same moment.
 */
export function feedPage({ after, types, hiddenSubjects, limit }: FeedQuery): Statement<FeedRow> {
  return {
    sql: `WITH clock AS MATERIALIZED (
      SELECT number AS history, left(md5(history), 12) AS tag, settled_before AS settled FROM app.change_clock()
    )
    SELECT clock.settled, clock.history, clock.tag AS "historyTag",
        $1::bigint IS NULL OR (clock.history = $3 AND clock.tag = $4) OR EXISTS (
          SELECT FROM app.histories h WHERE h.number = $3 AND left(md5(h.history), 12) = $4) AS known,
        COALESCE((h.xid, h.sequence) > ($1::bigint, $2::bigint), false) AS gone,
        e.id, e.type, e.subject_type AS "subjectType", e.subject_id AS "subjectId", e.vehicle_id AS "vehicleId",
        e.fleet_id AS "fleetId", e.workshop_id AS "workshopId", e.recorded_at AS "recordedAt", e.data, e.xid, e.sequence
      FROM clock LEFT JOIN event_horizons h ON true
        LEFT JOIN LATERAL (
          SELECT * FROM events
            WHERE (xid, sequence) > (COALESCE($1::bigint, 0), COALESCE($2::bigint, 0)) AND xid < clock.settled
              AND ($5::text[] IS NULL OR type = ANY ($5)) AND subject_type <> ALL ($6::text[])
            ORDER BY xid, sequence LIMIT $7
        ) e ON true
      ORDER BY e.xid, e.sequence`,
    parameters: [
      after?.xid ?? null,
      after?.sequence ?? null,
      after?.history ?? null,
      after?.historyTag ?? null,
      types,
      hiddenSubjects,
      limit,
    ],
  };
}

@Injectable()
export class ChangesRepository {
  /** Those of some changes that are kept and that the transaction may know of. */
  find(tx: Tx, ids: readonly string[]): Promise<ChangeRow[]> {
    return tx.query<ChangeRow[]>(
      `SELECT id, type, subject_type AS "subjectType", subject_id AS "subjectId", vehicle_id AS "vehicleId",
          fleet_id AS "fleetId", workshop_id AS "workshopId", recorded_at AS "recordedAt", data
        FROM events WHERE id = ANY ($1::uuid[])`,
      [ids],
    );
  }

  /** Deletes the oldest events, at most `limit` of those recorded before the given moment; answers how many. */
  async forget(tx: Tx, organisationId: string, before: Date, limit: number): Promise<number> {
    const [row] = await tx.query<[{ forgotten: string }]>(
      `WITH old AS (
        SELECT id FROM events WHERE recorded_at < $2 ORDER BY xid, sequence LIMIT $3
      ), gone AS (
        DELETE FROM events e USING old WHERE e.id = old.id RETURNING e.xid, e.sequence
      ), moved AS (
        INSERT INTO event_horizons AS h (organisation_id, xid, sequence)
          SELECT $1, xid, sequence FROM gone ORDER BY xid DESC, sequence DESC LIMIT 1
          ON CONFLICT (organisation_id) DO UPDATE SET xid = excluded.xid, sequence = excluded.sequence, moved_at = now()
            WHERE (h.xid, h.sequence) < (excluded.xid, excluded.sequence)
      )
      SELECT count(*) AS forgotten FROM gone`,
      [organisationId, before, limit],
    );
    return Number(row.forgotten);
  }
}
