import { Injectable } from '@nestjs/common';
import { In } from 'typeorm';
import type { CalendarDate } from '../../core/shared/calendar-date';
import type { Tx } from '../../platform/database/transactions';
import { RosterNeed } from './roster-need.entity';

@Injectable()
export class RosterNeedsRepository {
  find(tx: Tx, depotId: string): Promise<RosterNeed | null> {
    return tx.findOneBy(RosterNeed, { depotId });
  }

  findOfDepots(tx: Tx, depotIds: readonly string[]): Promise<RosterNeed[]> {
    return tx.findBy(RosterNeed, { depotId: In([...depotIds]) });
  }

  save(tx: Tx, roster: RosterNeed): Promise<RosterNeed> {
    return tx.save(RosterNeed, roster);
  }

  /** Vehicles of a depot on a day, those aside that are retired by then. */
  async vehicleCount(tx: Tx, depotId: string, on: CalendarDate): Promise<number> {
    const [row] = await tx.query<[{ count: number }]>(
      `SELECT count(*)::integer AS count FROM vehicles
        WHERE depot_id = $1 AND (retired_on IS NULL OR retired_on > $2)`,
      [depotId, on],
    );
    return row.count;
  }
}
