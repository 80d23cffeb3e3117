import { Injectable } from '@nestjs/common';
import { MoreThanOrEqual } from 'typeorm';
import { formatInstant, parseInstant } from '../../core/shared/instant';
import type { Tx } from '../../platform/database/transactions';
import { OdometerReading } from './odometer-reading.entity';
import type { StampedReading } from './plan-readings';
import type { OdometerReadingRow, ReadingOnFile, VehicleHistory } from './vehicle-history';

/** A reading with the vehicle that it is about, for lists over vehicles. */
export type ReadingOfVehicle = OdometerReading & {
  depotId: string;
  registrationMark: string;
  fleetNumber: string | null;
};

export interface ReadingFilter {
  state?: OdometerReading['state'];
  meter?: OdometerReading['meter'];
  fleetId?: string;
  depotId?: string;
}

const AT = (column: string): string => `round(date_part('epoch', ${column}) * 1000)`;
const LOCAL_DAY = (column: string): string => `((${column} AT TIME ZONE d.zone)::date - DATE '1970-01-01')`;
const DAY = (column: string): string => `(${column} - DATE '1970-01-01')`;

@Injectable()
export class OdometerReadingsRepository {
  /**
   * In one statement: what the readings of the vehicles are judged against, and the readings on file that the
   * rows may repeat (those with one of the keys, and those of one of the instants).
   *
   * @param since accepted readings from this instant on
   */
  async load(
    tx: Tx,
    vehicleIds: readonly string[],
    rows: readonly OdometerReadingRow[],
    since: string,
  ): Promise<{ histories: VehicleHistory[]; onFile: ReadingOnFile[] }> {
    const keys = rows.flatMap(({ externalKey }) => externalKey ?? []);
    const instants = [...new Set(rows.map(({ readAt }) => formatInstant(parseInstant(readAt, 'readAt'))))];
    const [row] = await tx.query<[{ histories: VehicleHistory[] | null; onFile: ReadingOnFile[] | null }]>(
      `SELECT
        (SELECT json_agg(json_build_object('vehicleId', v.id, 'fleetId', v.fleet_id, 'zone', d.zone,
            'odometerUnit', v.odometer_unit, 'dutyClass', v.duty_class,
            'statedYearlyDistanceKm', v.stated_yearly_distance_km,
            'readings', (SELECT ('[' || string_agg('[' || ${AT('r.read_at')} || ',' || ${LOCAL_DAY('r.read_at')} || ','
                || r.value || ',"' || r.unit || '","' || r.meter || '"]', ',' ORDER BY r.read_at, r.id) || ']')::json
              FROM odometer_readings r WHERE r.organisation_id = v.organisation_id AND r.vehicle_id = v.id
                AND r.state = 'accepted' AND r.read_at >= $4),
            'replacements', (SELECT json_agg(json_build_object('meter', c.meter, 'at', ${AT('c.replaced_at')},
                'day', ${LOCAL_DAY('c.replaced_at')}, 'oldFinalValue', c.old_final_value, 'oldUnit', c.old_unit,
                'newInitialValue', c.new_initial_value, 'newUnit', c.new_unit) ORDER BY c.replaced_at)
              FROM odometer_replacements c WHERE c.organisation_id = v.organisation_id AND c.vehicle_id = v.id),
            'dutyChanges', (SELECT json_agg(json_build_array(${DAY('u.from_on')}, u.duty_class) ORDER BY u.from_on)
              FROM duty_changes u WHERE u.organisation_id = v.organisation_id AND u.vehicle_id = v.id),
            'offRoad', (SELECT json_agg(json_build_array(${DAY('o.from_on')}, ${DAY('o.until_on')}) ORDER BY o.from_on)
              FROM off_road_periods o WHERE o.organisation_id = v.organisation_id AND o.vehicle_id = v.id),
            'models', (SELECT json_object_agg(m.meter || ' ' || m.duty_class, m.model)
              FROM usage_models m WHERE m.organisation_id = v.organisation_id AND m.fleet_id = v.fleet_id)))
          FROM vehicles v JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id
          WHERE v.id = ANY ($1::uuid[])) AS histories,
        (SELECT json_agg(json_build_object('id', r.id, 'vehicleId', r.vehicle_id, 'meter', r.meter, 'value', r.value,
            'unit', r.unit, 'at', ${AT('r.read_at')}, 'source', r.source, 'externalKey', r.external_key))
          FROM odometer_readings r WHERE r.external_key = ANY ($2::text[])
            OR (r.vehicle_id = ANY ($1::uuid[]) AND r.read_at = ANY ($3::timestamptz[]))) AS "onFile"`,
      [vehicleIds, keys, instants, since],
    );
    return { histories: row.histories ?? [], onFile: row.onFile ?? [] };
  }

  /** Answers the ids that were stored; a reading whose key belongs to a record out of sight is left out. */
  async createMany(
    tx: Tx,
    organisationId: string,
    readings: readonly StampedReading[],
  ): Promise<Set<string>> {
    const incoming = readings.map(({ at, ...reading }) => ({ ...reading, readAt: formatInstant(at) }));
    const rows = await tx.query<{ id: string }[]>(
      `INSERT INTO odometer_readings (organisation_id, id, vehicle_id, fleet_id, meter, value, unit, read_at, source,
          external_key, state, suspicions, suggested_value, decided_by, decided_at, decision_note, recorded_at)
        SELECT $1, id, "vehicleId", "fleetId", meter, value, unit, "readAt", source, "externalKey", state,
            suspicions, "suggestedValue", "decidedBy", "decidedAt", "decisionNote", "recordedAt"
          FROM json_to_recordset($2::json) AS r (id uuid, "vehicleId" uuid, "fleetId" uuid, meter text,
            value double precision, unit text, "readAt" timestamptz, source text, "externalKey" text, state text,
            suspicions jsonb, "suggestedValue" double precision, "decidedBy" text, "decidedAt" timestamptz,
            "decisionNote" text, "recordedAt" timestamptz)
        ON CONFLICT ON CONSTRAINT odometer_readings_external_key_key DO NOTHING RETURNING id`,
      [organisationId, JSON.stringify(incoming)],
    );
    return new Set(rows.map(({ id }) => id));
  }

  find(tx: Tx, id: string): Promise<OdometerReading | null> {
    return tx.findOneBy(OdometerReading, { id });
  }

  /** Quarantined readings of a meter from an instant on, earliest first. */
  findQuarantined(
    tx: Tx,
    vehicleId: string,
    meter: OdometerReading['meter'],
    from: Date,
  ): Promise<OdometerReading[]> {
    return tx.find(OdometerReading, {
      where: { vehicleId, meter, state: 'quarantined', readAt: MoreThanOrEqual(from) },
      order: { readAt: 'ASC', id: 'ASC' },
    });
  }

  /** Newest first; one row more than `limit`. */
  listOfVehicle(
    tx: Tx,
    vehicleId: string,
    filter: Pick<ReadingFilter, 'state' | 'meter'>,
    after: { readAt: string; id: string } | null,
    limit: number,
  ): Promise<OdometerReading[]> {
    const query = tx
      .createQueryBuilder(OdometerReading, 'r')
      .where('r.vehicleId = :vehicleId', { vehicleId })
      .orderBy('r.readAt', 'DESC')
      .addOrderBy('r.id', 'DESC')
      .limit(limit + 1);
    if (filter.state !== undefined) query.andWhere('r.state = :state', filter);
    if (filter.meter !== undefined) query.andWhere('r.meter = :meter', filter);
    if (after !== null)
      query.andWhere('(r.readAt, r.id) < (:afterAt, :afterId)', { afterAt: after.readAt, afterId: after.id });
    return query.getMany();
  }

  /** In the order of recording, with the vehicle; one row more than `limit`. */
  list(tx: Tx, filter: ReadingFilter, afterId: string | null, limit: number): Promise<ReadingOfVehicle[]> {
    return tx.query(
      `SELECT r.id, r.vehicle_id AS "vehicleId", r.fleet_id AS "fleetId", r.meter, r.value, r.unit,
          r.read_at AS "readAt", r.source, r.external_key AS "externalKey", r.state, r.suspicions,
          r.suggested_value AS "suggestedValue", r.decided_by AS "decidedBy", r.decided_at AS "decidedAt",
          r.decision_note AS "decisionNote", r.recorded_at AS "recordedAt", r.revision, v.depot_id AS "depotId",
          v.registration_mark AS "registrationMark", v.fleet_number AS "fleetNumber"
        FROM odometer_readings r
          JOIN vehicles v ON v.organisation_id = r.organisation_id AND v.id = r.vehicle_id
        WHERE ($1::text IS NULL OR r.state = $1) AND ($2::text IS NULL OR r.meter = $2)
          AND ($3::uuid IS NULL OR r.fleet_id = $3) AND ($4::uuid IS NULL OR v.depot_id = $4)
          AND ($5::uuid IS NULL OR r.id > $5)
        ORDER BY r.id LIMIT $6`,
      [
        filter.state ?? null,
        filter.meter ?? null,
        filter.fleetId ?? null,
        filter.depotId ?? null,
        afterId,
        limit + 1,
      ],
    );
  }

  save(tx: Tx, reading: OdometerReading): Promise<OdometerReading> {
    return tx.save(OdometerReading, reading);
  }
}
