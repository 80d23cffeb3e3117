import { Client } from 'pg';
import { PgBoss } from 'pg-boss';
import { JOBS_SCHEMA, jobNames } from '../jobs/job-queues';

/** Creates or updates the job queue's own schema, which the restricted role may use but not alter. */
export async function prepareJobs(ownerUrl: string, appRole: string): Promise<void> {
  const boss = new PgBoss({
    connectionString: ownerUrl,
    schema: JOBS_SCHEMA,
    supervise: false,
    schedule: false,
    max: 2,
  });
  const failures: Error[] = [];
  boss.on('error', (error) => failures.push(error));
  await boss.start();
  for (const name of jobNames) {
    await boss.createQueue(name, { retryLimit: 5, retryDelay: 2, retryBackoff: true, expireInSeconds: 3600 });
  }
  await boss.stop({ graceful: false });
  if (failures[0] !== undefined) throw failures[0];

  const client = new Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await client.query(`
      GRANT USAGE ON SCHEMA ${JOBS_SCHEMA} TO ${appRole};
      GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA ${JOBS_SCHEMA} TO ${appRole};
      GRANT EXECUTE ON ALL FUNCTIONS IN SCHEMA ${JOBS_SCHEMA} TO ${appRole};
    `);
  } finally {
    await client.end();
  }
}
