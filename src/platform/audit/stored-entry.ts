import canonicalize from 'canonicalize';
import { parseExactJson } from './exact-json';

/** An entry of the audit trail as the database holds it, each value as text that loses nothing. */
export interface StoredEntry {
  organisationId: string;
  id: string;
  sequence: string;
  /** in UTC to the microsecond */
  recordedAt: string;
  actor: string;
  action: string;
  subjectType: string;
  subjectId: string;
  vehicleId: string | null;
  /** JSON text */
  before: string | null;
  /** JSON text */
  after: string | null;
}

/** The columns of a `StoredEntry`, of audit_entries as `e`. */
export const STORED_ENTRY = `e.organisation_id AS "organisationId", e.id, e.sequence::text,
  to_char(e.recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"') AS "recordedAt", e.actor, e.action,
  e.subject_type AS "subjectType", e.subject_id AS "subjectId", e.vehicle_id AS "vehicleId",
  e.before::text AS before, e.after::text AS after`;

/**
 * The whole entry as canonical JSON (RFC 8785): the same text wherever and whenever it is made, from whatever copy of
 * the database. `before` and `after` are members only where the entry has them.
 */
export function canonicalEntry(entry: StoredEntry): string {
  const { before, after } = entry;
  const text = canonicalize({
    organisationId: entry.organisationId,
    id: entry.id,
    sequence: entry.sequence,
    recordedAt: entry.recordedAt,
    actor: entry.actor,
    action: entry.action,
    subjectType: entry.subjectType,
    subjectId: entry.subjectId,
    vehicleId: entry.vehicleId,
    ...(before === null ? {} : { before: parseExactJson(before) }),
    ...(after === null ? {} : { after: parseExactJson(after) }),
  });
  if (text === undefined) throw new Error('an object has a text');
  return text;
}
