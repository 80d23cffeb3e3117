import { Client, escapeLiteral } from 'pg';
import { PgBoss } from 'pg-boss';
import { version as bossVersion } from 'pg-boss/package.json';
import { givenUpTo, HEARTBEAT_SECONDS, JOBS_SCHEMA, jobNames, oneWaiting } from '../jobs/job-queues';

const QUEUE = {
  retryLimit: 10,
  retryDelay: 2,
  retryBackoff: true,
  retryDelayMax: 60,
  // the largest file may take its time, but a process that died is missed soon
  expireInSeconds: 12 * 3600,
  heartbeatSeconds: HEARTBEAT_SECONDS,
};

// what the schema was prepared for: written into its comment, so that the next start sees that nothing is to do
const STAMP = JSON.stringify([bossVersion, jobNames, QUEUE, givenUpTo]);

/**
 * Creates or updates the job queue's own schema, which the restricted role may use but not alter. Processes that start
 * together take turns: two that grant the same rights at once would fail.
 */
export async function prepareJobs(ownerUrl: string, appRole: string): Promise<void> {
  const client = new Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    if ((await stampIn(client)) === STAMP) return;
    await client.query(`SELECT pg_advisory_lock(hashtext('precharge jobs'))`);
    if ((await stampIn(client)) === STAMP) return;
    await prepareQueues(ownerUrl);
    await client.query(`
      GRANT USAGE ON SCHEMA ${JOBS_SCHEMA} TO ${appRole};
      GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA ${JOBS_SCHEMA} TO ${appRole};
      GRANT EXECUTE ON ALL FUNCTIONS IN SCHEMA ${JOBS_SCHEMA} TO ${appRole};
      COMMENT ON SCHEMA ${JOBS_SCHEMA} IS ${escapeLiteral(STAMP)};
    `);
  } finally {
    // gives the lock back as well
    await client.end();
  }
}

async function prepareQueues(ownerUrl: string): Promise<void> {
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
    const deadLetter = givenUpTo[name];
    const queue = deadLetter === undefined ? QUEUE : { ...QUEUE, deadLetter };
    await boss.createQueue(name, { ...queue, policy: oneWaiting.has(name) ? 'short' : 'standard' });
    // one that was created by an earlier version keeps its settings otherwise
    await boss.updateQueue(name, queue);
  }
  await boss.stop({ graceful: false });
  if (failures[0] !== undefined) throw failures[0];
}

async function stampIn(client: Client): Promise<string | null> {
  const { rows } = await client.query<{ stamp: string | null }>(
    `SELECT obj_description(to_regnamespace($1), 'pg_namespace') AS stamp`,
    [JOBS_SCHEMA],
  );
  return rows[0]?.stamp ?? null;
}
