import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import type { VehicleAwayDto } from './dto/depot-days.dto';

export interface DepotFilter {
  fleetId?: string;
  depotId?: string;
}

/** Reads across depots, their vehicles, and what takes these off the road. */
@Injectable()
export class DepotAvailabilityRepository {
  depots(tx: Tx, { fleetId, depotId }: DepotFilter): Promise<{ id: string; name: string }[]> {
    return tx.query(
      `SELECT d.id, d.name FROM depots d
        WHERE ($1::uuid IS NULL OR d.fleet_id = $1) AND ($2::uuid IS NULL OR d.id = $2) ORDER BY d.name, d.id`,
      [fleetId ?? null, depotId ?? null],
    );
  }

  vehicles(
    tx: Tx,
    depotIds: readonly string[],
    fromOn: string,
  ): Promise<{ depotId: string; retiredOn: string | null }[]> {
    return tx.query(
      `SELECT v.depot_id AS "depotId", v.retired_on::text AS "retiredOn" FROM vehicles v
        WHERE v.depot_id = ANY ($1::uuid[]) AND (v.retired_on IS NULL OR v.retired_on > $2)`,
      [depotIds, fromOn],
    );
  }

  /** Bookings that stand, by the days of the workshop, and off-road periods that share a day with the range. */
  away(
    tx: Tx,
    depotIds: readonly string[],
    { fromOn, untilOn, now }: { fromOn: string; untilOn: string; now: Date },
  ): Promise<(VehicleAwayDto & { depotId: string })[]> {
    return tx.query(
      `WITH away AS (
        SELECT b.vehicle_id, 'booking' AS cause, b.id, (b.bay_from_at AT TIME ZONE w.zone)::date AS from_on,
            -- a vehicle that is there longer than was planned is still there
            ((CASE WHEN b.state IN ('arrived', 'in-work') THEN GREATEST(b.bay_until_at, $4::timestamptz)
              ELSE b.bay_until_at END - interval '1 microsecond') AT TIME ZONE w.zone)::date + 1 AS until_on
          FROM bookings b JOIN workshops w ON w.organisation_id = b.organisation_id AND w.id = b.workshop_id
          WHERE b.state IN ('arrived', 'in-work') OR b.bay_until_at > $4 AND (b.state = 'confirmed'
            OR b.state = 'provisional' AND b.provisional_until > clock_timestamp())
        UNION ALL
        SELECT p.vehicle_id, 'off-road-period', p.id, p.from_on, p.until_on FROM off_road_periods p
      )
      SELECT v.depot_id AS "depotId", v.id AS "vehicleId", v.registration_mark AS "registrationMark", a.cause,
          a.id AS "causeId", a.from_on::text AS "fromOn", a.until_on::text AS "untilOn"
        FROM away a JOIN vehicles v ON v.id = a.vehicle_id
        WHERE v.depot_id = ANY ($1::uuid[]) AND (v.retired_on IS NULL OR v.retired_on > $2)
          AND a.from_on < $3 AND a.until_on > $2
        ORDER BY a.from_on, v.registration_mark, a.id`,
      [depotIds, fromOn, untilOn, now],
    );
  }
}
