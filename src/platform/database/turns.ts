import { Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import { DataSource } from 'typeorm';
import type { Tx } from './transactions';

/** What is looked after in turns. */
export type TurnKind = 'webhook-endpoint';

/** A turn that this process has taken. */
export interface Turn {
  organisationId: string;
  subjectId: string;
  /** proves that it is still ours */
  lease: string;
}

// A worker that has not been heard of for so long is taken for dead, and its turn goes to another.
const LEASE_SECONDS = 20;

/** How often a turn that takes longer should be kept. */
export const KEEP_TURN_EVERY_MS = 5_000;

/**
 * The common diary of all workers: whose turn it is, over all organisations. Unlike a job of the queue a turn never
 * fails for good; what could not be done comes up again. Nobody else takes one while it is leased.
 */
@Injectable()
export class Turns {
  constructor(@InjectDataSource() private readonly dataSource: DataSource) {}

  /** Enters a subject, or brings its next turn forward; a turn that is under way is followed by another one. */
  async call(tx: Tx, kind: TurnKind, organisationId: string, subjectId: string, at: Date): Promise<void> {
    await tx.query(
      `INSERT INTO app.turns AS t (kind, organisation_id, subject_id, due_at) VALUES ($1, $2, $3, $4)
        ON CONFLICT (organisation_id, kind, subject_id) DO UPDATE SET due_at = LEAST(t.due_at, EXCLUDED.due_at)`,
      [kind, organisationId, subjectId, at],
    );
  }

  async remove(tx: Tx, kind: TurnKind, organisationId: string, subjectId: string): Promise<void> {
    await tx.query(`DELETE FROM app.turns WHERE kind = $1 AND organisation_id = $2 AND subject_id = $3`, [
      kind,
      organisationId,
      subjectId,
    ]);
  }

  /** Takes turns that are due, or whose worker died. */
  async take(kind: TurnKind, now: Date, limit: number): Promise<Turn[]> {
    // An update that returns is answered by TypeORM with the rows and their number. While a turn is taken its due time
    // is free to say that another one is wanted after it.
    const [rows] = await this.dataSource.query<[Turn[], number]>(
      `UPDATE app.turns t SET lease = gen_random_uuid(), due_at = 'infinity',
          leased_until = now() + make_interval(secs => $4)
        FROM (
          SELECT organisation_id, subject_id FROM app.turns
            WHERE kind = $1 AND ((lease IS NULL AND due_at <= $2) OR leased_until < now())
            ORDER BY due_at LIMIT $3 FOR UPDATE SKIP LOCKED
        ) AS next
        WHERE t.kind = $1 AND t.organisation_id = next.organisation_id AND t.subject_id = next.subject_id
        RETURNING t.organisation_id AS "organisationId", t.subject_id AS "subjectId", t.lease`,
      [kind, now, limit, LEASE_SECONDS],
    );
    return rows;
  }

  /** Keeps a turn; false where it was given to somebody else meanwhile, and whatever it was taken for is theirs. */
  async keep(tx: Tx, { organisationId, subjectId, lease }: Turn): Promise<boolean> {
    const [, count] = await tx.query<[unknown, number]>(
      `UPDATE app.turns SET leased_until = now() + make_interval(secs => $4)
        WHERE organisation_id = $1 AND subject_id = $2 AND lease = $3`,
      [organisationId, subjectId, lease, LEASE_SECONDS],
    );
    return count === 1;
  }

  /**
   * Gives a turn back.
   *
   * @param next when the next one is due, unless it was called for earlier; null is not before it is called for
   * @param waiting how much is left to do; null where that is not known
   */
  async finish(
    { organisationId, subjectId, lease }: Turn,
    next: Date | null,
    waiting: number | null,
  ): Promise<void> {
    await this.dataSource.query(
      `UPDATE app.turns SET lease = NULL, leased_until = NULL, due_at = LEAST(due_at, $4::timestamptz), waiting = COALESCE($5, waiting)
        WHERE organisation_id = $1 AND subject_id = $2 AND lease = $3`,
      [organisationId, subjectId, lease, next, waiting],
    );
  }

  /** How much is left to do in all organisations together. */
  async waiting(kind: TurnKind): Promise<number> {
    const [row] = await this.dataSource.query<[{ waiting: string }]>(
      `SELECT COALESCE(sum(waiting), 0) AS waiting FROM app.turns WHERE kind = $1`,
      [kind],
    );
    return Number(row.waiting);
  }
}
