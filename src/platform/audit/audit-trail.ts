import { Injectable } from '@nestjs/common';
import type { Tx } from '../database/transactions';
import type { Principal } from '../security/principal';
import type { AnnouncedChange, RecordedChange } from './recorded-changes';

export type AuditRecord = RecordedChange & {
  subjectId: string;
  vehicleId?: string;
  /** whose it is where it is about no vehicle: whoever is limited to some fleets is told of theirs alone */
  fleetId?: string;
  /** the workshop that it belongs to: whoever is limited to some workshops is told of no others */
  workshopId?: string;
  before?: unknown;
  after?: unknown;
};

/** What nobody did: an event without an audit entry. */
export type Announcement = AnnouncedChange & {
  subjectId: string;
  vehicleId: string;
  fleetId: string;
  data: object;
};

/**
 * Who changed what, when, from what to what: written in the transaction of the change, never altered. The same
 * statement writes the event that tells others of it (id, transaction and sequence are those of the entry), so no
 * change can be recorded without being told. Events go after a while, entries stay.
 */
@Injectable()
export class AuditTrail {
  async record(tx: Tx, principal: Principal, records: AuditRecord | AuditRecord[]): Promise<void> {
    const list = Array.isArray(records) ? records : [records];
    if (list.length === 0) return;
    await tx.query(
      `WITH moment AS MATERIALIZED (
        SELECT app.transaction_id() AS xid
      ), records AS MATERIALIZED (
        SELECT uuidv7() AS id, nextval('audit_entries_sequence_seq') AS sequence, moment.xid, r.*
          FROM moment, jsonb_to_recordset($3::jsonb) AS r (
            "action" text, "subjectType" text, "subjectId" uuid, "vehicleId" uuid, "fleetId" uuid, "workshopId" uuid,
            "before" jsonb, "after" jsonb)
      ), entries AS (
        INSERT INTO audit_entries (organisation_id, id, actor, action, subject_type, subject_id, vehicle_id, before,
            after, xid, sequence)
          SELECT $1, id, $2, "action", "subjectType", "subjectId", "vehicleId", "before", "after", xid, sequence
            FROM records
      )
      INSERT INTO events (organisation_id, id, type, subject_type, subject_id, vehicle_id, fleet_id, workshop_id, data,
          xid, sequence)
        SELECT $1, id, "subjectType" || '.' || "action", "subjectType", "subjectId", "vehicleId",
            COALESCE((SELECT v.fleet_id FROM vehicles v WHERE v.organisation_id = $1 AND v.id = "vehicleId"), "fleetId"),
            "workshopId", COALESCE("after", "before", '{}'), xid, sequence
          FROM records`,
      [principal.organisationId, principal.actor, JSON.stringify(list)],
    );
  }

  /** Tells of what the passing of time has brought about. */
  async announce(
    tx: Tx,
    { organisationId }: Principal,
    announcements: readonly Announcement[],
  ): Promise<void> {
    if (announcements.length === 0) return;
    await tx.query(
      `WITH moment AS MATERIALIZED (
        SELECT app.transaction_id() AS xid
      )
      INSERT INTO events (organisation_id, type, subject_type, subject_id, vehicle_id, fleet_id, data, xid)
        SELECT $1, "subjectType" || '.' || "action", "subjectType", "subjectId", "vehicleId", "fleetId", "data", moment.xid
          FROM moment, jsonb_to_recordset($2::jsonb) AS r (
            "action" text, "subjectType" text, "subjectId" uuid, "vehicleId" uuid, "fleetId" uuid, "data" jsonb)`,
      [organisationId, JSON.stringify(announcements)],
    );
  }
}
