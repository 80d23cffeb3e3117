import { Injectable } from '@nestjs/common';
import { STORED_ENTRY, type StoredEntry } from '../../platform/audit/stored-entry';
import type { Tx } from '../../platform/database/transactions';

export interface AuditEntryFilter {
  vehicleId?: string;
  subjectId?: string;
  subjectType?: string;
  actor?: string;
  fromAt?: string;
  untilAt?: string;
}

/** An entry with its seal, as far as it has one. */
export interface ListedEntry extends StoredEntry {
  position: string | null;
  hash: string | null;
  sealedAt: Date | null;
}

const WITH_SEAL = `SELECT ${STORED_ENTRY}, s.position, encode(s.hash, 'hex') AS hash, s.recorded_at AS "sealedAt"
  FROM audit_entries e LEFT JOIN audit_seals s
    ON s.organisation_id = e.organisation_id AND s.entry_id = e.id`;

// The vehicles are those that the key sees. What is about no vehicle is about the organisation as a whole.
const ABOUT_VISIBLE_VEHICLE = `e.vehicle_id IS NOT NULL AND EXISTS (
  SELECT FROM vehicles v WHERE v.organisation_id = e.organisation_id AND v.id = e.vehicle_id
)`;

@Injectable()
export class AuditEntriesRepository {
  /** Newest first; one more than `limit`. */
  list(
    tx: Tx,
    ofVehiclesOnly: boolean,
    { vehicleId, subjectId, subjectType, actor, fromAt, untilAt }: AuditEntryFilter,
    after: { recordedAt: string; id: string } | null,
    limit: number,
  ): Promise<ListedEntry[]> {
    const parameters: unknown[] = [];
    const tests = ofVehiclesOnly ? [ABOUT_VISIBLE_VEHICLE] : [];
    const add = (test: (...places: string[]) => string, ...values: (string | undefined)[]): void => {
      if (values.includes(undefined)) return;
      tests.push(test(...values.map((value) => `$${parameters.push(value)}`)));
    };
    add((id) => `e.vehicle_id = ${id}`, vehicleId);
    add((id) => `e.subject_id = ${id}`, subjectId);
    add((type) => `e.subject_type = ${type}`, subjectType);
    add((name) => `e.actor = ${name}`, actor);
    add((from) => `e.recorded_at >= ${from}`, fromAt);
    add((until) => `e.recorded_at < ${until}`, untilAt);
    add((at, id) => `(e.recorded_at, e.id) < (${at}, ${id})`, after?.recordedAt, after?.id);
    const where = tests.length === 0 ? '' : `WHERE ${tests.join(' AND ')}`;
    parameters.push(limit + 1);
    return tx.query<ListedEntry[]>(
      `${WITH_SEAL} ${where} ORDER BY e.recorded_at DESC, e.id DESC LIMIT $${parameters.length}`,
      parameters,
    );
  }

  async find(tx: Tx, ofVehiclesOnly: boolean, id: string): Promise<ListedEntry | null> {
    const where = ofVehiclesOnly ? `AND ${ABOUT_VISIBLE_VEHICLE}` : '';
    const [row] = await tx.query<ListedEntry[]>(`${WITH_SEAL} WHERE e.id = $1 ${where}`, [id]);
    return row ?? null;
  }

  /** Whether the key of this transaction is limited to some fleets. */
  async isOfSomeFleets(tx: Tx): Promise<boolean> {
    const [row] = await tx.query<[{ limited: boolean }]>(`SELECT app.fleet_ids() IS NOT NULL AS limited`);
    return row.limited;
  }
}
