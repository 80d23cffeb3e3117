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
  /** changes to look at, whether they are of those types or not */
  lookAt: number;
  limit: number;
}

/** One row for each change of the page, and one without a change where there is none. */
export type FeedRow = HistoryTag & {
  /** every change before it is there to be seen, and none will come */
  settled: string;
  /** the cursor's history is one of this database's own, and has not ended before what the cursor counts */
  known: boolean;
  /** changes after the cursor are gone */
  gone: boolean;
  /** as it was committed: see the table `event_horizons` */
  settledMark: string | null;
  /** the last change that was looked at */
  seenXid: string | null;
  seenSequence: string | null;
  /** as many were looked at as were to be, so there may be more */
  seenAll: boolean | null;
} & ((FeedPlace & ChangeRow) | { id: null });

/**
 * Reads changes in their order. One statement, because what is settled, what is kept and what is there have to be
 * seen at the same moment.
 */
export function feedPage(query: FeedQuery): Statement<FeedRow> {
  const { after, types, hiddenSubjects, lookAt, limit } = query;
  return {
    sql: `WITH clock AS MATERIALIZED (
      SELECT number AS history, left(md5(history), 12) AS tag, settled_before AS settled FROM app.change_clock()
    ), seen AS MATERIALIZED (
      SELECT * FROM app.events_after($1, $2, (SELECT settled FROM clock), $7)
    ), page AS MATERIALIZED (
      SELECT * FROM seen WHERE ($5::text[] IS NULL OR type = ANY ($5)) AND subject_type <> ALL ($6::text[])
        ORDER BY xid, sequence LIMIT $8
    )
    SELECT clock.settled, clock.history, clock.tag AS "historyTag",
        $3::bigint IS NULL OR (clock.history = $3 AND clock.tag = $4) OR EXISTS (
          SELECT FROM app.histories h WHERE h.number = $3 AND left(md5(h.history), 12) = $4
            -- the numbers of changes begin at 1: a place at the end with the number 0 is before all that was lost
            AND (h.ended_before IS NULL OR ($1, $2) <= (h.ended_before, 0))) AS known,
        $3 IS NOT NULL AND COALESCE((horizon.xid, horizon.sequence) > ($1, $2), false) AS gone,
        horizon.settled_before AS "settledMark", last.xid AS "seenXid", last.sequence AS "seenSequence", last."seenAll",
        e.id, e.type, e.subject_type AS "subjectType", e.subject_id AS "subjectId", e.vehicle_id AS "vehicleId",
        e.fleet_id AS "fleetId", e.workshop_id AS "workshopId", e.recorded_at AS "recordedAt", e.data, e.xid, e.sequence
      FROM clock LEFT JOIN event_horizons horizon ON true
        LEFT JOIN (
          SELECT xid, sequence, count(*) OVER () = $7 AS "seenAll" FROM seen ORDER BY xid DESC, sequence DESC LIMIT 1
        ) last ON true
        LEFT JOIN page e ON true
      ORDER BY e.xid, e.sequence`,
    parameters: [
      after?.xid ?? '0',
      after?.sequence ?? '0',
      after?.history ?? null,
      after?.historyTag ?? null,
      types,
      hiddenSubjects,
      lookAt,
      limit,
    ],
  };
}

/** The place behind all that is settled now, and the history of the server. */
export function feedEnd(): Statement<HistoryTag & FeedPlace> {
  return {
    sql: `WITH clock AS MATERIALIZED (
      SELECT number AS history, left(md5(history), 12) AS tag, settled_before AS settled FROM app.change_clock()
    ), places AS (
      SELECT xid, sequence FROM app.last_event((SELECT settled FROM clock))
      UNION ALL SELECT settled_before, 0 FROM event_horizons
      UNION ALL SELECT 0, 0
    )
    SELECT clock.history, clock.tag AS "historyTag", places.xid, places.sequence FROM clock, places
      ORDER BY xid DESC, sequence DESC LIMIT 1`,
    parameters: [],
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

  /** Notes up to where everything is settled. */
  async mark(tx: Tx, organisationId: string): Promise<void> {
    await tx.query(
      `INSERT INTO event_horizons AS h (organisation_id, settled_before) VALUES ($1, app.settled_before())
        ON CONFLICT (organisation_id) DO UPDATE SET settled_before = excluded.settled_before
          WHERE h.settled_before < excluded.settled_before`,
      [organisationId],
    );
  }

  /**
   * Deletes the oldest events, at most `limit` of those recorded before the given moment, in an organisation that has
   * its mark; answers how many.
   */
  async forget(tx: Tx, before: Date, limit: number): Promise<number> {
    const [row] = await tx.query<[{ forgotten: string }]>(
      `WITH old AS (
        SELECT id FROM events WHERE recorded_at < $1 ORDER BY xid, sequence LIMIT $2
      ), gone AS (
        DELETE FROM events e USING old WHERE e.id = old.id RETURNING e.xid, e.sequence
      ), moved AS (
        UPDATE event_horizons h SET xid = last.xid, sequence = last.sequence, moved_at = now()
          FROM (SELECT xid, sequence FROM gone ORDER BY xid DESC, sequence DESC LIMIT 1) last
          WHERE (h.xid, h.sequence) < (last.xid, last.sequence)
      )
      SELECT count(*) AS forgotten FROM gone`,
      [before, limit],
    );
    return Number(row.forgotten);
  }
}
