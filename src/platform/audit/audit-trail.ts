import { Injectable } from '@nestjs/common';
import type { Tx } from '../database/transactions';
import type { Principal } from '../security/principal';

export interface AuditRecord {
  action: string;
  subjectType: string;
  subjectId: string;
  vehicleId?: string;
  before?: unknown;
  after?: unknown;
}

/** Who changed what, when, from what to what: written in the transaction of the change, never altered. */
@Injectable()
export class AuditTrail {
  async record(tx: Tx, principal: Principal, records: AuditRecord | AuditRecord[]): Promise<void> {
    const list = Array.isArray(records) ? records : [records];
    if (list.length === 0) return;
    await tx.query(
      `INSERT INTO audit_entries (organisation_id, actor, action, subject_type, subject_id, vehicle_id, before, after)
        SELECT $1, $2, r."action", r."subjectType", r."subjectId", r."vehicleId", r."before", r."after"
          FROM jsonb_to_recordset($3::jsonb) AS r ("action" text, "subjectType" text, "subjectId" uuid,
            "vehicleId" uuid, "before" jsonb, "after" jsonb)`,
      [principal.organisationId, principal.actor, JSON.stringify(list)],
    );
  }
}
