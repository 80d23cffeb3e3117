import { Injectable } from '@nestjs/common';
import { MoreThanOrEqual } from 'typeorm';
import { formatInstant, parseInstant } from '../../core/shared/instant';
import type { Tx } from '../../platform/database/transactions';
import { OdometerReading } from './odometer-reading.entity';
import type { StampedReading } from './plan-readings';
import type { OdometerReadingRow, ReadingOnFile } from './vehicle-history';

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

@Injectable()
export class OdometerReadingsRepository {
  /** Readings on file that the rows may repeat: those with one of the keys, and those of one of the instants. */
  onFile(
    tx: Tx,
    vehicleIds: readonly string[],
    rows: readonly OdometerReadingRow[],
  ): Promise<ReadingOnFile[]> {
    const keys = rows.flatMap(({ externalKey }) => externalKey ?? []);
    const instants = [...new Set(rows.map(({ readAt }) => formatInstant(parseInstant(readAt, 'readAt'))))];
    return tx.query<ReadingOnFile[]>(
      `SELECT r.id, r.vehicle_id AS "vehicleId", r.meter, r.value, r.unit,
          round(date_part('epoch', r.read_at) * 1000) AS at, r.source, r.external_key AS "externalKey"
        FROM odometer_readings r WHERE r.external_key = ANY ($2::text[])
          OR (r.vehicle_id = ANY ($1::uuid[]) AND r.read_at = ANY ($3::timestamptz[]))`,
      [vehicleIds, keys, instants],
    );
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
