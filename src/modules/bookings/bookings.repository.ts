import { Injectable } from '@nestjs/common';
import { In } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { Booking } from './booking.entity';

export interface BookingFilter {
  workshopId?: string;
  vehicleId?: string;
  fleetId?: string;
  bayId?: string;
  technicianId?: string;
  state?: string;
  fromAt?: string;
  untilAt?: string;
}

@Injectable()
export class BookingsRepository {
  /** In order of start; one row more than `limit`, so that the caller knows whether there is a next page. */
  list(
    tx: Tx,
    filter: BookingFilter,
    after: { startsAt: string; id: string } | null,
    limit: number,
  ): Promise<Booking[]> {
    const query = tx
      .createQueryBuilder(Booking, 'b')
      .orderBy('b.startsAt')
      .addOrderBy('b.id')
      .limit(limit + 1);
    for (const field of ['workshopId', 'vehicleId', 'fleetId', 'bayId'] as const) {
      if (filter[field] !== undefined) query.andWhere(`b.${field} = :${field}`, { [field]: filter[field] });
    }
    if (filter.technicianId !== undefined) {
      query.andWhere(':technicianId = ANY (b.technicianIds)', { technicianId: filter.technicianId });
    }
    // a provisional booking that ran out has lapsed, whether that was written down yet or not
    if (filter.state === 'lapsed') {
      query.andWhere(
        `(b.state = 'lapsed' OR b.state = 'provisional' AND b.provisionalUntil <= clock_timestamp())`,
      );
    } else if (filter.state === 'provisional') {
      query.andWhere(`b.state = 'provisional' AND b.provisionalUntil > clock_timestamp()`);
    } else if (filter.state !== undefined) {
      query.andWhere('b.state = :state', { state: filter.state });
    }
    if (filter.fromAt !== undefined) query.andWhere('b.endsAt > :fromAt', { fromAt: filter.fromAt });
    if (filter.untilAt !== undefined) query.andWhere('b.startsAt < :untilAt', { untilAt: filter.untilAt });
    if (after !== null) query.andWhere('(b.startsAt, b.id) > (:startsAt, :id)', after);
    return query.getMany();
  }

  find(tx: Tx, id: string): Promise<Booking | null> {
    return tx.findOneBy(Booking, { id });
  }

  findByExternalKeys(tx: Tx, externalKeys: readonly string[]): Promise<Booking[]> {
    return tx.findBy(Booking, { externalKey: In([...externalKeys]) });
  }

  lock(tx: Tx, id: string): Promise<Booking | null> {
    return tx.findOne(Booking, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  /**
   * Adds a booking that has its id already. Sent at once, so that what belongs to it can be sent right after it: an
   * insert through the entity would wait a little before it is sent.
   */
  async create(tx: Tx, booking: Booking): Promise<void> {
    const json = { pieces: JSON.stringify(booking.pieces), work: JSON.stringify(booking.work) };
    await tx.query(
      `INSERT INTO bookings (organisation_id, id, fleet_id, vehicle_id, workshop_id, bay_id, technician_ids, external_key,
          state, provisional_until, starts_at, ends_at, bay_from_at, bay_until_at, pieces, work, work_minutes, minutes_before,
          minutes_after, cause, contact, note, booked_by, created_at, updated_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23,
          $24, $24)`,
      [
        booking.organisationId,
        booking.id,
        booking.fleetId,
        booking.vehicleId,
        booking.workshopId,
        booking.bayId,
        booking.technicianIds,
        booking.externalKey,
        booking.state,
        booking.provisionalUntil,
        booking.startsAt,
        booking.endsAt,
        booking.bayFromAt,
        booking.bayUntilAt,
        json.pieces,
        json.work,
        booking.workMinutes,
        booking.minutesBefore,
        booking.minutesAfter,
        booking.cause,
        booking.contact,
        booking.note,
        booking.bookedBy,
        booking.createdAt,
      ],
    );
  }

  save(tx: Tx, booking: Booking): Promise<Booking> {
    return tx.save(Booking, booking);
  }

  /** Now, by the clock that decides when a provisional booking lapses. */
  async databaseNow(tx: Tx): Promise<number> {
    const [row] = await tx.query<[{ nowAt: number }]>(
      `SELECT (extract(epoch FROM clock_timestamp()) * 1000)::float8 AS "nowAt"`,
    );
    return row.nowAt;
  }

  /** Bookings of a workshop that are still to come or under way, in order of start. */
  upcoming(tx: Tx, workshopId: string, fromAt: string, limit: number): Promise<Booking[]> {
    return tx
      .createQueryBuilder(Booking, 'b')
      .where('b.workshopId = :workshopId AND b.endsAt > :fromAt', { workshopId, fromAt })
      .andWhere(
        `(b.state IN ('confirmed', 'arrived', 'in-work')
        OR b.state = 'provisional' AND b.provisionalUntil > clock_timestamp())`,
      )
      .orderBy('b.startsAt')
      .addOrderBy('b.id')
      .limit(limit)
      .getMany();
  }
}
