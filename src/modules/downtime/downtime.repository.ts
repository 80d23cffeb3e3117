import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import type { StayRow } from './stay-row';

export interface StayFilter {
  vehicleId?: string | undefined;
  fleetId?: string | undefined;
  depotId?: string | undefined;
  workshopId?: string | undefined;
  fromAt?: string | undefined;
  untilAt?: string | undefined;
}

/** A vehicle as far as it is wanted: from when until when, and what is no required time. */
export interface RequiredRow {
  vehicleId: string;
  registrationMark: string;
  fleetId: string;
  depotId: string;
  /** start of the in-service day at its depot; null where that is not recorded */
  fromAt: Date | null;
  /** start of the day on which it left; null while it is in the fleet */
  untilAt: Date | null;
  /** planned non-use */
  offRoad: { startsAt: string; endsAt: string }[];
}

/** What became of the bookings of a workshop. */
export interface ScheduleRow {
  vehicleId: string;
  workshopId: string;
  cause: 'planned' | 'failure';
  scheduled: boolean;
  asScheduled: boolean;
  labourMinutes: number;
}

// A stay ends with the release. One that was cancelled after the arrival ends then. A vehicle that left on hold is down
// until its next stay ends in a release, which that stay's own record does not know: it counts from its own arrival.
const STAYS = `SELECT b.id AS "bookingId", b.vehicle_id AS "vehicleId", v.registration_mark AS "registrationMark",
    b.fleet_id AS "fleetId", v.depot_id AS "depotId", b.workshop_id AS "workshopId", b.cause,
    b.arrived_at AS "arrivedAt", b.work_started_at AS "workStartedAt", b.work_periods AS "workPeriods",
    CASE WHEN b.state = 'cancelled' THEN b.closed_at WHEN b.released_at IS NOT NULL THEN b.released_at
      WHEN b.state = 'collected' THEN (SELECT min(n.arrived_at) FROM bookings n
        WHERE n.organisation_id = b.organisation_id AND n.vehicle_id = b.vehicle_id AND n.arrived_at > b.arrived_at)
    END AS "releasedAt"
  FROM bookings b JOIN vehicles v ON v.organisation_id = b.organisation_id AND v.id = b.vehicle_id
  WHERE b.arrived_at IS NOT NULL`;

@Injectable()
export class DowntimeRepository {
  /** In order of arrival; one row more than `limit`, so that the caller knows whether there is a next page. */
  stays(
    tx: Tx,
    { vehicleId, fleetId, depotId, workshopId, fromAt, untilAt }: StayFilter,
    after: { arrivedAt: string; id: string } | null,
    limit: number | null,
  ): Promise<StayRow[]> {
    return tx.query<StayRow[]>(
      `SELECT * FROM (${STAYS}) s
        WHERE ($1::uuid IS NULL OR "vehicleId" = $1) AND ($2::uuid IS NULL OR "fleetId" = $2)
          AND ($3::uuid IS NULL OR "depotId" = $3) AND ($4::uuid IS NULL OR "workshopId" = $4)
          AND ($5::timestamptz IS NULL OR "releasedAt" IS NULL OR "releasedAt" > $5)
          AND ($6::timestamptz IS NULL OR "arrivedAt" < $6)
          AND ($7::timestamptz IS NULL OR ("arrivedAt", "bookingId") > ($7, $8::uuid))
        ORDER BY "arrivedAt", "bookingId" LIMIT $9`,
      [
        vehicleId ?? null,
        fleetId ?? null,
        depotId ?? null,
        workshopId ?? null,
        fromAt ?? null,
        untilAt ?? null,
        after?.arrivedAt ?? null,
        after?.id ?? null,
        limit === null ? null : limit + 1,
      ],
    );
  }

  /** Vehicles that were in the fleet in some part of a period. */
  required(tx: Tx, { vehicleId, fleetId, depotId, fromAt, untilAt }: StayFilter): Promise<RequiredRow[]> {
    return tx.query<RequiredRow[]>(
      `SELECT v.id AS "vehicleId", v.registration_mark AS "registrationMark", v.fleet_id AS "fleetId",
          v.depot_id AS "depotId", v.in_service_on::timestamp AT TIME ZONE d.zone AS "fromAt",
          v.retired_on::timestamp AT TIME ZONE d.zone AS "untilAt",
          COALESCE((SELECT json_agg(json_build_object(
                'startsAt', p.from_on::timestamp AT TIME ZONE d.zone, 'endsAt', p.until_on::timestamp AT TIME ZONE d.zone))
            FROM off_road_periods p WHERE p.organisation_id = v.organisation_id AND p.vehicle_id = v.id), '[]') AS "offRoad"
        FROM vehicles v JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id
        WHERE ($1::uuid IS NULL OR v.id = $1) AND ($2::uuid IS NULL OR v.fleet_id = $2)
          AND ($3::uuid IS NULL OR v.depot_id = $3)
          AND (v.in_service_on IS NULL OR v.in_service_on::timestamp AT TIME ZONE d.zone < $5::timestamptz)
          AND (v.retired_on IS NULL OR v.retired_on::timestamp AT TIME ZONE d.zone > $4::timestamptz)
        ORDER BY v.id`,
      [vehicleId ?? null, fleetId ?? null, depotId ?? null, fromAt, untilAt],
    );
  }

  /**
   * Firm bookings that were to start in a period, with the labour of those that are signed off. As scheduled: work began
   * on the local day for which it was booked.
   */
  schedule(
    tx: Tx,
    { vehicleId, fleetId, depotId, workshopId, fromAt, untilAt }: StayFilter,
  ): Promise<ScheduleRow[]> {
    return tx.query<ScheduleRow[]>(
      `SELECT b.vehicle_id AS "vehicleId", b.workshop_id AS "workshopId", b.cause, true AS scheduled,
          COALESCE((b.work_started_at AT TIME ZONE w.zone)::date = (b.starts_at AT TIME ZONE w.zone)::date, false)
            AS "asScheduled",
          COALESCE((SELECT sum(extract(epoch FROM (p->>'endsAt')::timestamptz - (p->>'startsAt')::timestamptz) / 60)
            FROM jsonb_array_elements(b.work_periods) p), 0)::float8 AS "labourMinutes"
        FROM bookings b
        JOIN workshops w ON w.organisation_id = b.organisation_id AND w.id = b.workshop_id
        JOIN vehicles v ON v.organisation_id = b.organisation_id AND v.id = b.vehicle_id
        WHERE b.starts_at >= $5::timestamptz AND b.starts_at < $6::timestamptz
          AND b.state NOT IN ('provisional', 'lapsed')
          AND ($1::uuid IS NULL OR b.vehicle_id = $1) AND ($2::uuid IS NULL OR b.fleet_id = $2)
          AND ($3::uuid IS NULL OR v.depot_id = $3) AND ($4::uuid IS NULL OR b.workshop_id = $4)`,
      [vehicleId ?? null, fleetId ?? null, depotId ?? null, workshopId ?? null, fromAt, untilAt],
    );
  }

  /** In order of the names. */
  names(
    tx: Tx,
    table: 'fleets' | 'depots' | 'workshops',
    ids: readonly string[],
  ): Promise<{ id: string; name: string }[]> {
    return tx.query<{ id: string; name: string }[]>(
      `SELECT id, name FROM ${table} WHERE id = ANY ($1::uuid[]) ORDER BY name, id`,
      [ids],
    );
  }
}
