import { Injectable } from '@nestjs/common';
import type { BookingState } from '../../core/booking/booking-state';
import type { CalendarDate } from '../../core/shared/calendar-date';
import type { Tx } from '../../platform/database/transactions';

/** A booking as calendars show it. */
export interface CalendarBooking {
  id: string;
  registrationMark: string;
  fleetNumber: string | null;
  workshopName: string;
  bayName: string;
  /** `lapsed` as soon as nobody confirmed it in time, whether that has been written down or not */
  state: BookingState;
  startsAt: Date;
  endsAt: Date;
  minutes: number;
  titles: string[];
  /** counts the changes, a lapse that has not been written down included */
  changes: number;
  /** the booking itself, or what it names */
  changedAt: Date;
  technicians: string[];
  contact: string | null;
  note: string | null;
}

/** Days on which a vehicle of a depot is off the road. */
export interface CalendarOffRoadPeriod {
  id: string;
  registrationMark: string;
  fleetNumber: string | null;
  fromOn: CalendarDate;
  /** the first day back on the road */
  untilOn: CalendarDate;
  reason: string;
  deleted: boolean;
  changes: number;
  changedAt: Date;
}

/** The part of time that a calendar shows. */
export interface Horizon {
  fromAt: Date;
  untilAt: Date;
  fromOn: CalendarDate;
  untilOn: CalendarDate;
  /** for so long what was called off is shown as cancelled, by the clock that recorded it */
  calledOffForDays: number;
  /** more events than this are not shown, the earliest first */
  limit: number;
}

const CALLED_OFF_SINCE = `clock_timestamp() - make_interval(days => $3)`;
const LAPSED = `(b.state = 'provisional' AND b.provisional_until <= clock_timestamp())`;

const BOOKINGS = `SELECT b.id, v.registration_mark AS "registrationMark", v.fleet_number AS "fleetNumber",
    w.name AS "workshopName", bay.name AS "bayName", CASE WHEN ${LAPSED} THEN 'lapsed' ELSE b.state END AS state,
    b.starts_at AS "startsAt", b.ends_at AS "endsAt", b.work_minutes AS minutes,
    ARRAY(
      SELECT part ->> 'title'
        FROM jsonb_array_elements(COALESCE(b.work -> 'items', '[]') || COALESCE(b.work -> 'extra', '[]')) AS part
    ) AS titles,
    b.revision - CASE WHEN ${LAPSED} THEN 0 ELSE 1 END AS changes,
    GREATEST(b.updated_at, CASE WHEN ${LAPSED} THEN b.provisional_until END, v.updated_at, w.updated_at,
      bay.updated_at, t.updated_at) AS "changedAt",
    COALESCE(t.names, '{}') AS technicians, b.contact, b.note
  FROM bookings b
    JOIN vehicles v ON v.id = b.vehicle_id
    JOIN workshops w ON w.id = b.workshop_id
    JOIN bays bay ON bay.id = b.bay_id
    CROSS JOIN LATERAL (
      SELECT array_agg(name ORDER BY name) AS names, max(updated_at) AS updated_at FROM technicians
        WHERE id = ANY (b.technician_ids)
    ) AS t
  WHERE b.starts_at < $2 AND b.ends_at > $1
    AND (b.state NOT IN ('cancelled', 'missed', 'lapsed') OR b.closed_at >= ${CALLED_OFF_SINCE})
    AND (NOT ${LAPSED} OR b.provisional_until >= ${CALLED_OFF_SINCE})`;

@Injectable()
export class CalendarContentsRepository {
  /** Null for a workshop or depot that the address does not show. */
  async placeOf(
    tx: Tx,
    { workshopId, depotId }: { workshopId: string | null; depotId: string | null },
  ): Promise<{ name: string; zone: string } | null> {
    const [row] = await tx.query<{ name: string; zone: string }[]>(
      `SELECT name, zone FROM workshops WHERE id = $1 UNION ALL SELECT name, zone FROM depots WHERE id = $2`,
      [workshopId, depotId],
    );
    return row ?? null;
  }

  bookingsOfWorkshop(tx: Tx, workshopId: string, horizon: Horizon): Promise<CalendarBooking[]> {
    return this.bookings(tx, 'b.workshop_id = $4', workshopId, horizon);
  }

  bookingsOfDepot(tx: Tx, depotId: string, horizon: Horizon): Promise<CalendarBooking[]> {
    return this.bookings(tx, 'v.depot_id = $4', depotId, horizon);
  }

  /** Periods on record, and those that were deleted lately, as the audit trail has them. */
  offRoadPeriodsOfDepot(
    tx: Tx,
    depotId: string,
    { fromOn, untilOn, calledOffForDays, limit }: Horizon,
  ): Promise<CalendarOffRoadPeriod[]> {
    return tx.query(
      `WITH of_depot AS (
        SELECT organisation_id, id, registration_mark, fleet_number, updated_at FROM vehicles WHERE depot_id = $1
      ), periods AS (
        SELECT p.vehicle_id, p.id, p.from_on, p.until_on, p.reason, false AS deleted, p.revision - 1 AS changes,
            GREATEST(p.recorded_at, (
              SELECT max(e.recorded_at) FROM audit_entries e
                WHERE e.organisation_id = p.organisation_id AND e.subject_id = p.id
            )) AS changed_at
          FROM off_road_periods p JOIN of_depot v ON v.id = p.vehicle_id
        UNION ALL
        SELECT e.vehicle_id, e.subject_id, (e.before ->> 'fromOn')::date, (e.before ->> 'untilOn')::date,
            e.before ->> 'reason', true, (e.before ->> 'revision')::integer, e.recorded_at
          FROM of_depot v JOIN audit_entries e ON e.organisation_id = v.organisation_id AND e.vehicle_id = v.id
          WHERE e.subject_type = 'off-road-period' AND e.action = 'deleted' AND e.recorded_at >= ${CALLED_OFF_SINCE}
      )
      SELECT p.id, v.registration_mark AS "registrationMark", v.fleet_number AS "fleetNumber",
          p.from_on::text AS "fromOn", p.until_on::text AS "untilOn", p.reason, p.deleted, p.changes,
          GREATEST(p.changed_at, v.updated_at) AS "changedAt"
        FROM periods p JOIN of_depot v ON v.id = p.vehicle_id
        WHERE p.from_on < $4::date AND p.until_on > $2::date
        ORDER BY p.from_on, p.id LIMIT $5`,
      [depotId, fromOn, calledOffForDays, untilOn, limit],
    );
  }

  private bookings(
    tx: Tx,
    whose: string,
    id: string,
    { fromAt, untilAt, calledOffForDays, limit }: Horizon,
  ): Promise<CalendarBooking[]> {
    return tx.query(`${BOOKINGS} AND ${whose} ORDER BY b.starts_at, b.id LIMIT $5`, [
      fromAt,
      untilAt,
      calledOffForDays,
      id,
      limit,
    ]);
  }
}
