import { AuditSealingService } from '../modules/audit-seals/audit-sealing.service';
import { AuditSealsService } from '../modules/audit-seals/audit-seals.service';
import { Tenants } from '../platform/database/tenants';
import { systemPrincipal } from '../platform/security/principal';
import { reportAndExit } from '../process-life';
import { withApplication } from './with-application';

/**
 * Writes where each organisation's audit trail ends, one JSON object a line: `npm run --silent audit:heads >> heads`.
 * Kept where nobody who can write the database can, it shows later whether anything up to there was changed.
 */
async function main(): Promise<void> {
  await withApplication(async (app) => {
    for (const organisationId of await app.get(Tenants).ids()) {
      await app.get(AuditSealingService).seal(organisationId);
      const principal = systemPrincipal(organisationId, 'noting of the head of the audit trail');
      const { position, hash, sealedAt } = await app.get(AuditSealsService).head(principal);
      console.log(JSON.stringify({ organisationId, position, hash, sealedAt }));
    }
  });
}

main().catch(reportAndExit);
