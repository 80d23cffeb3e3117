import { PgBoss } from 'pg-boss';
import { JOBS_SCHEMA, jobNames } from '../../jobs/job-queues';
import type { PendingJob } from './backup-format';

/** Queues what was waiting when a backup was made. Work of queues that are gone is left out and counted. */
export async function queuePendingJobs(ownerUrl: string, jobs: readonly PendingJob[]): Promise<number> {
  if (jobs.length === 0) return 0;
  const names: readonly string[] = jobNames;
  const known = jobs.filter(({ queue }) => names.includes(queue));
  const boss = new PgBoss({
    connectionString: ownerUrl,
    schema: JOBS_SCHEMA,
    migrate: false,
    supervise: false,
    schedule: false,
    max: 2,
  });
  const failures: Error[] = [];
  boss.on('error', (error) => failures.push(error));
  await boss.start();
  try {
    for (const { queue, id, data, priority, startAfter, singletonKey } of known)
      await boss.send(queue, data, {
        id,
        priority,
        startAfter,
        ...(singletonKey === null ? {} : { singletonKey }),
      });
  } finally {
    await boss.stop({ graceful: false });
  }
  if (failures[0] !== undefined) throw failures[0];
  return jobs.length - known.length;
}
