import { parseArgs } from 'node:util';
import { AuditChecksService } from '../modules/audit-seals/audit-checks.service';
import { readConfig } from '../platform/config/config';
import { BackupError } from '../platform/database/backup/backup-error';
import { queuePendingJobs } from '../platform/database/backup/queue-pending-jobs';
import { checkBackup, restoreBackup } from '../platform/database/backup/restore-backup';
import { fingerprintOf } from '../platform/database/backup/write-backup';
import { findDatabaseServer } from '../platform/database/open-database';
import { Tenants } from '../platform/database/tenants';
import { systemPrincipal } from '../platform/security/principal';
import { reportAndExit } from '../process-life';
import { withApplication } from './with-application';

const USAGE = `npm run restore -- [--check] <file>
  Fills the empty database that PRECHARGE_DATA_DIR or DATABASE_URL names. --check reads the file only.`;

async function main(): Promise<void> {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: { check: { type: 'boolean', default: false } },
  });
  const [file] = positionals;
  if (file === undefined) throw new BackupError(USAGE);
  if (values.check) {
    const { header, end } = await checkBackup(file);
    console.log(`${file} is whole: ${end.rows} rows of ${end.tables} tables, as of ${header.takenAt}.`);
    return;
  }

  const server = await findDatabaseServer(readConfig(process.env), true);
  const { header, end, jobs } = await restoreBackup(server.ownerUrl, file);
  console.log(`${end.rows} rows of ${end.tables} tables as of ${header.takenAt}, read back and compared.`);
  await withApplication(async (app, { ownerUrl }) => {
    const leftOut = await queuePendingJobs(ownerUrl, jobs);
    console.log(`${jobs.length - leftOut} jobs queued again, ${leftOut} left out.`);
    const checks = app.get(AuditChecksService);
    for (const organisationId of await app.get(Tenants).ids()) {
      const principal = systemPrincipal(organisationId, 'check of a restored audit trail');
      const { entriesChecked, fault } = await checks.check(principal, {});
      if (fault !== null) throw new BackupError(`Audit trail of ${organisationId}: ${fault.detail}`);
      console.log(`Audit trail of ${organisationId}: ${entriesChecked} entries in order.`);
    }
  });
  if (header.secretFingerprint !== fingerprintOf(server.secret))
    console.log(
      'The secret is not the one that the backup was made with. Put that one in its place (PRECHARGE_SECRET, or the ' +
        'file "secret" beside the data) before you start: what was signed or sealed with it cannot be read otherwise.',
    );
}

main().catch(reportAndExit);
