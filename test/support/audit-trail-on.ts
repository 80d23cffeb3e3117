import type { Client } from 'pg';
import { AuditTrail, type AuditRecord } from '../../src/platform/audit/audit-trail';
import type { Tx } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';

/** The audit trail inside a transaction that a test keeps in its own hands. */
export function auditTrailOn(client: Client, organisationId: string) {
  const tx = {
    query: async (sql: string, parameters: unknown[]) => (await client.query<object>(sql, parameters)).rows,
  };
  const principal = systemPrincipal(organisationId, 'test');
  return {
    // the trail uses nothing else of a transaction
    record: (record: AuditRecord): Promise<void> =>
      new AuditTrail().record(tx as unknown as Tx, principal, record),
  };
}
