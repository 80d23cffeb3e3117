import { Injectable } from '@nestjs/common';
import type { Period } from '../../core/working-time/instant-set';
import type { Slot } from '../../core/working-time/workshop';
import type { Tx } from '../../platform/database/transactions';

/** No allocation is longer, so that the ones that reach into a range are found by their start. */
const LONGEST_DAYS = 60;

interface TakenRow {
  resourceId: string;
  startsAt: number[];
  endsAt: number[];
}

const TAKEN = `SELECT a.resource_id AS "resourceId",
    array_agg((extract(epoch FROM a.starts_at) * 1000)::float8 ORDER BY a.starts_at) AS "startsAt",
    array_agg((extract(epoch FROM a.ends_at) * 1000)::float8 ORDER BY a.starts_at) AS "endsAt"
  FROM booking_allocations a
  WHERE a.live AND (a.held_until IS NULL OR a.held_until > clock_timestamp())
    AND a.starts_at > $1::timestamptz - interval '${LONGEST_DAYS} days' AND a.starts_at < $2 AND a.ends_at > $1
    AND a.booking_id IS DISTINCT FROM $3`;

@Injectable()
export class BookingAllocationsRepository {
  /**
   * Times in a range at which bays, people or vehicles are taken, in order of start.
   *
   * @param exceptBookingId a booking that does not stand in its own way
   */
  async taken(
    tx: Tx,
    resourceIds: readonly string[],
    { startsAt, endsAt }: Period,
    exceptBookingId: string | null,
  ): Promise<Map<string, Period[]>> {
    const rows = await tx.query<TakenRow[]>(
      `${TAKEN} AND a.resource_id = ANY ($4::uuid[]) GROUP BY a.resource_id`,
      [new Date(startsAt), new Date(endsAt), exceptBookingId, resourceIds],
    );
    return new Map(rows.map((row) => [row.resourceId, periodsOf(row)]));
  }

  /** The same for all bays and people of workshops. */
  async takenAtWorkshops(
    tx: Tx,
    workshopIds: readonly string[],
    { startsAt, endsAt }: Period,
    exceptBookingId: string | null,
  ): Promise<Map<string, Period[]>> {
    const rows = await tx.query<TakenRow[]>(
      `${TAKEN} AND a.resource_id IN (
          SELECT b.id FROM bays b WHERE b.workshop_id = ANY ($4::uuid[])
          UNION ALL SELECT t.id FROM technicians t WHERE t.workshop_id = ANY ($4::uuid[]))
        GROUP BY a.resource_id`,
      [new Date(startsAt), new Date(endsAt), exceptBookingId, workshopIds],
    );
    return new Map(rows.map((row) => [row.resourceId, periodsOf(row)]));
  }

  /**
   * Gives up the times that provisional bookings held and that have run out, by the database's clock. The bays,
   * people and vehicles have to be locked.
   */
  async giveUpLapsed(tx: Tx, resourceIds: readonly string[]): Promise<void> {
    await tx.query(
      `UPDATE booking_allocations SET live = false
        WHERE resource_id = ANY ($1::uuid[]) AND live AND held_until <= clock_timestamp()`,
      [resourceIds],
    );
  }

  /** Takes bay, people and vehicle for a booking. */
  async take(
    tx: Tx,
    booking: { organisationId: string; id: string; vehicleId: string; fleetId: string },
    slot: Pick<Slot, 'bayId' | 'technicianIds' | 'bayFromAt' | 'bayUntilAt' | 'pieces'>,
    heldUntil: Date | null,
  ): Promise<void> {
    const whole = { startsAt: slot.bayFromAt, endsAt: slot.bayUntilAt };
    const rows = [
      { bay: slot.bayId, ...whole },
      { vehicle: booking.vehicleId, fleet: booking.fleetId, ...whole },
      ...slot.technicianIds.flatMap((technician) => slot.pieces.map((piece) => ({ technician, ...piece }))),
    ];
    await tx.query(
      `INSERT INTO booking_allocations (organisation_id, booking_id, bay_id, technician_id, vehicle_id, fleet_id,
          resource_id, starts_at, ends_at, held_until)
        SELECT $1, $2, r.bay, r.technician, r.vehicle, r.fleet, COALESCE(r.bay, r.technician, r.vehicle),
          to_timestamp(r."startsAt" / 1000), to_timestamp(r."endsAt" / 1000), $4
        FROM jsonb_to_recordset($3::jsonb) AS r (bay uuid, technician uuid, vehicle uuid, fleet uuid,
          "startsAt" float8, "endsAt" float8)`,
      [booking.organisationId, booking.id, JSON.stringify(rows), heldUntil],
    );
  }

  /** Gives up everything that a booking takes. */
  async giveUp(tx: Tx, bookingId: string): Promise<void> {
    await tx.query(`DELETE FROM booking_allocations WHERE booking_id = $1`, [bookingId]);
  }

  /**
   * The booking is firm: its times are held without an end. False where one of them ran out before, by the
   * database's clock, and may have gone to somebody else; the transaction has to be taken back then.
   */
  async makeFirm(tx: Tx, bookingId: string): Promise<boolean> {
    const [row] = await tx.query<[{ whole: boolean }]>(
      `WITH firm AS (
          UPDATE booking_allocations SET held_until = NULL
            WHERE booking_id = $1 AND live AND held_until > clock_timestamp() RETURNING id)
        SELECT (SELECT count(*) FROM firm) = count(*) AS whole FROM booking_allocations WHERE booking_id = $1`,
      [bookingId],
    );
    return row.whole;
  }

  /** The work ended earlier than planned: what is left of its times is free. */
  async endAt(tx: Tx, bookingId: string, at: Date): Promise<void> {
    await tx.query(
      `UPDATE booking_allocations
        SET live = live AND starts_at < $2, ends_at = CASE WHEN starts_at < $2 THEN LEAST(ends_at, $2) ELSE ends_at END
        WHERE booking_id = $1 AND live`,
      [bookingId, at],
    );
  }
}

function periodsOf({ startsAt, endsAt }: TakenRow): Period[] {
  return startsAt.map((start, index) => ({ startsAt: start, endsAt: endsAt[index] as number }));
}
