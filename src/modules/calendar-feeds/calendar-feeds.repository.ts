import { Injectable } from '@nestjs/common';
import type { SelectQueryBuilder } from 'typeorm';
import { withinOwnLimits } from '../../platform/database/access-limits';
import type { Statement, Tx } from '../../platform/database/transactions';
import { CalendarFeed } from './calendar-feed.entity';

// a calendar is read more often than anybody asks when it was
const TELL_READING_AFTER = '5 minutes';

/** What is known of a feed when its address is opened. */
export type OpenedFeed = Pick<
  CalendarFeed,
  'id' | 'label' | 'workshopId' | 'depotId' | 'withNames' | 'secretSha256'
>;

@Injectable()
export class CalendarFeedsRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, includeRevoked: boolean, afterId: string | null, limit: number): Promise<CalendarFeed[]> {
    const query = this.visible(tx)
      .orderBy('f.id')
      .limit(limit + 1);
    if (!includeRevoked) query.andWhere('f.revokedAt IS NULL');
    if (afterId !== null) query.andWhere('f.id > :afterId', { afterId });
    return query.getMany();
  }

  find(tx: Tx, id: string): Promise<CalendarFeed | null> {
    return this.visible(tx).andWhere('f.id = :id', { id }).getOne();
  }

  lock(tx: Tx, id: string): Promise<CalendarFeed | null> {
    return this.visible(tx).andWhere('f.id = :id', { id }).setLock('pessimistic_write').getOne();
  }

  save(tx: Tx, feed: CalendarFeed): Promise<CalendarFeed> {
    return tx.save(CalendarFeed, feed);
  }

  create(tx: Tx, values: Omit<CalendarFeed, 'id' | 'revision' | 'createdAt'>): Promise<CalendarFeed> {
    return tx.save(CalendarFeed, tx.create(CalendarFeed, values));
  }

  /** Notes that it has been read, unless that was noted a moment ago. */
  async noteReading(tx: Tx, id: string): Promise<void> {
    await tx.query(
      `UPDATE calendar_feeds SET last_read_at = now()
        WHERE id = $1 AND (last_read_at IS NULL OR last_read_at < now() - $2::interval)`,
      [id, TELL_READING_AFTER],
    );
  }

  async now(tx: Tx): Promise<Date> {
    const [row] = await tx.query<[{ now: Date }]>(`SELECT now() AS now`);
    return row.now;
  }

  private visible(tx: Tx): SelectQueryBuilder<CalendarFeed> {
    return tx.createQueryBuilder(CalendarFeed, 'f').where(withinOwnLimits('f'));
  }
}

/** The feed that an address names, unless it is revoked. */
export function opening(feedId: string): Statement<OpenedFeed> {
  return {
    sql: `SELECT id, label, workshop_id AS "workshopId", depot_id AS "depotId", with_names AS "withNames",
        secret_sha256 AS "secretSha256"
      FROM calendar_feeds WHERE id = $1 AND revoked_at IS NULL`,
    parameters: [feedId],
  };
}
