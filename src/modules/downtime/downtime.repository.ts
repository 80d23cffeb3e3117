import { Injectable } from '@nestjs/common';
import type { Period } from '../../core/working-time/instant-set';
import type { Downtime } from '../../core/working-time/maintenance-indicators';
import type { Tx } from '../../platform/database/transactions';
import type { StayRow } from './stay-row';

export interface VehicleFilter {
  vehicleId?: string | undefined;
  fleetId?: string | undefined;
  depotId?: string | undefined;
}

export interface StayFilter extends VehicleFilter {
  workshopId?: string | undefined;
  fromAt?: string | undefined;
  untilAt?: string | undefined;
}

/** A vehicle as far as it is wanted in a period. Instants in milliseconds since the epoch. */
export interface RequiredRow {
  vehicleId: string;
  registrationMark: string;
  fleetId: string;
  depotId: string;
  /** start of the in-service day at its depot; null where that is not recorded */
  fromAt: number | null;
  /** start of the day on which it left; null while it is in the fleet */
  untilAt: number | null;
  /** planned non-use */
  offRoad: Period[];
}

/** Down times of a vehicle in one workshop. Instants in milliseconds since the epoch. */
export interface DowntimesRow {
  vehicleId: string;
  workshopId: string;
  downtimes: Downtime[];
}

/** What became of the bookings of a vehicle in one workshop. */
export interface WorkRow {
  vehicleId: string;
  workshopId: string;
  scheduled: number;
  doneAsScheduled: number;
  correctiveLabourMinutes: number;
  preventiveLabourMinutes: number;
}

// A stay ends with the release. One that was cancelled after the arrival ends then, though the clock that wrote down the
// arrival may have been a little ahead. A vehicle that left on hold is down until it comes again and stays.
const STAYS = `SELECT b.id AS "bookingId", b.vehicle_id AS "vehicleId", v.registration_mark AS "registrationMark",
    b.fleet_id AS "fleetId", v.depot_id AS "depotId", b.workshop_id AS "workshopId", b.cause,
    b.arrived_at AS "arrivedAt", b.work_started_at AS "workStartedAt", b.work_periods AS "workPeriods",
    CASE WHEN b.state = 'cancelled' THEN GREATEST(b.closed_at, b.arrived_at)
      WHEN b.released_at IS NOT NULL THEN b.released_at
      WHEN b.state = 'collected' THEN (SELECT min(n.arrived_at) FROM bookings n
        WHERE n.organisation_id = b.organisation_id AND n.vehicle_id = b.vehicle_id AND n.arrived_at > b.arrived_at
          AND n.state <> 'cancelled')
    END AS "releasedAt"
  FROM bookings b JOIN vehicles v ON v.organisation_id = b.organisation_id AND v.id = b.vehicle_id
  WHERE b.arrived_at IS NOT NULL`;

const millis = (instant: string): string => `(extract(epoch FROM ${instant}) * 1000)::float8`;

@Injectable()
export class DowntimeRepository {
  /** In order of arrival; one row more than `limit`, so that the caller knows whether there is a next page. */
  stays(
    tx: Tx,
    { vehicleId, fleetId, depotId, workshopId, fromAt, untilAt }: StayFilter,
    after: { arrivedAt: string; id: string } | null,
    limit: number,
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
        limit + 1,
      ],
    );
  }

  /** How long each vehicle was down in a period, and where; what is still down, until the end of the period. */
  downtimes(
    tx: Tx,
    { vehicleId, fleetId, depotId }: VehicleFilter,
    [fromAt, untilAt]: readonly [string, string],
  ): Promise<DowntimesRow[]> {
    return tx.query<DowntimesRow[]>(
      `SELECT "vehicleId", "workshopId", json_agg(json_build_object('cause', cause,
            'startsAt', ${millis('"arrivedAt"')}, 'endsAt', ${millis('COALESCE("releasedAt", $5)')})) AS downtimes
        FROM (${STAYS}) s
        WHERE ($1::uuid IS NULL OR "vehicleId" = $1) AND ($2::uuid IS NULL OR "fleetId" = $2)
          AND ($3::uuid IS NULL OR "depotId" = $3)
          AND "arrivedAt" < $5::timestamptz AND COALESCE("releasedAt", $5) > GREATEST("arrivedAt", $4::timestamptz)
        GROUP BY "vehicleId", "workshopId"`,
      [vehicleId ?? null, fleetId ?? null, depotId ?? null, fromAt, untilAt],
    );
  }

  /** Vehicles that were in the fleet in some part of a period. */
  required(
    tx: Tx,
    { vehicleId, fleetId, depotId }: VehicleFilter,
    [fromAt, untilAt]: readonly [string, string],
  ): Promise<RequiredRow[]> {
    return tx.query<RequiredRow[]>(
      `SELECT "vehicleId", "registrationMark", "fleetId", "depotId", ${millis('"fromAt"')} AS "fromAt",
          ${millis('"untilAt"')} AS "untilAt",
          COALESCE((SELECT json_agg(json_build_object('startsAt', ${millis('p.from_on::timestamp AT TIME ZONE zone')},
                'endsAt', ${millis('p.until_on::timestamp AT TIME ZONE zone')}))
            FROM off_road_periods p
            WHERE p.organisation_id = "organisationId" AND p.vehicle_id = "vehicleId"
              AND p.from_on::timestamp AT TIME ZONE zone < $5 AND p.until_on::timestamp AT TIME ZONE zone > $4), '[]')
            AS "offRoad"
        FROM (SELECT v.organisation_id AS "organisationId", v.id AS "vehicleId",
            v.registration_mark AS "registrationMark", v.fleet_id AS "fleetId", v.depot_id AS "depotId", d.zone,
            v.in_service_on::timestamp AT TIME ZONE d.zone AS "fromAt",
            v.retired_on::timestamp AT TIME ZONE d.zone AS "untilAt"
          FROM vehicles v JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id) of_fleet
        WHERE ($1::uuid IS NULL OR "vehicleId" = $1) AND ($2::uuid IS NULL OR "fleetId" = $2)
          AND ($3::uuid IS NULL OR "depotId" = $3)
          AND ("fromAt" IS NULL OR "fromAt" < $5::timestamptz) AND ("untilAt" IS NULL OR "untilAt" > $4::timestamptz)
        ORDER BY "registrationMark", "vehicleId"`,
      [vehicleId ?? null, fleetId ?? null, depotId ?? null, fromAt, untilAt],
    );
  }

  /**
   * Firm bookings that were to start in a period, with the labour of those that are signed off. Done as scheduled: work
   * began on the local day for which it was booked. One that was given up while it was held for a caller never was firm.
   */
  work(
    tx: Tx,
    { vehicleId, fleetId, depotId }: VehicleFilter,
    [fromAt, untilAt]: readonly [string, string],
  ): Promise<WorkRow[]> {
    return tx.query<WorkRow[]>(
      `SELECT b.vehicle_id AS "vehicleId", b.workshop_id AS "workshopId", count(*)::integer AS scheduled,
          count(*) FILTER (WHERE (b.work_started_at AT TIME ZONE w.zone)::date = (b.starts_at AT TIME ZONE w.zone)::date)
            ::integer AS "doneAsScheduled",
          COALESCE(sum(l.minutes) FILTER (WHERE b.cause = 'failure'), 0)::float8 AS "correctiveLabourMinutes",
          COALESCE(sum(l.minutes) FILTER (WHERE b.cause = 'planned'), 0)::float8 AS "preventiveLabourMinutes"
        FROM bookings b
        JOIN workshops w ON w.organisation_id = b.organisation_id AND w.id = b.workshop_id
        JOIN vehicles v ON v.organisation_id = b.organisation_id AND v.id = b.vehicle_id
        LEFT JOIN LATERAL (
          SELECT sum(extract(epoch FROM (p->>'endsAt')::timestamptz - (p->>'startsAt')::timestamptz) / 60) AS minutes
            FROM jsonb_array_elements(b.work_periods) p) l ON true
        WHERE b.starts_at >= $4::timestamptz AND b.starts_at < $5::timestamptz
          AND b.state NOT IN ('provisional', 'lapsed')
          AND (b.state <> 'cancelled' OR b.provisional_until IS NULL OR b.closed_at > b.provisional_until)
          AND ($1::uuid IS NULL OR b.vehicle_id = $1) AND ($2::uuid IS NULL OR b.fleet_id = $2)
          AND ($3::uuid IS NULL OR v.depot_id = $3)
        GROUP BY b.vehicle_id, b.workshop_id`,
      [vehicleId ?? null, fleetId ?? null, depotId ?? null, fromAt, untilAt],
    );
  }

  /** In order of the names. */
  names(
    tx: Tx,
    table: 'fleets' | 'depots' | 'workshops',
    ids: ReadonlySet<string>,
  ): Promise<{ id: string; name: string }[]> {
    return tx.query<{ id: string; name: string }[]>(
      `SELECT id, name FROM ${table} WHERE id = ANY ($1::uuid[]) ORDER BY name, id`,
      [[...ids]],
    );
  }
}
