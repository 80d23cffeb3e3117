import { readConfig } from '../platform/config/config';
import { BackupError } from '../platform/database/backup/backup-error';
import { writeBackup } from '../platform/database/backup/write-backup';
import { findDatabaseServer } from '../platform/database/open-database';
import { reportAndExit } from '../process-life';

/** Writes everything into one file while the service goes on: `npm run backup -- <file>`. See docs/operations.md. */
async function main(): Promise<void> {
  const [file] = process.argv.slice(2);
  if (file === undefined) throw new BackupError('Give the file to write: npm run backup -- precharge.backup');
  const server = await findDatabaseServer(readConfig(process.env), true);
  const { tables, rows, jobs } = await writeBackup(server.ownerUrl, server.secret, file);
  await server.stop();
  console.log(`${file}: ${rows} rows of ${tables} tables, ${jobs} jobs that were waiting.`);
  console.log(
    'The secret (PRECHARGE_SECRET, or the file "secret" beside the data) is not in it: keep it elsewhere.',
  );
}

main().catch(reportAndExit);
