import type { INestApplicationContext } from '@nestjs/common';
import { ImportRunner } from './modules/imports/import-runner';
import { Jobs } from './platform/jobs/jobs';

/** Starts taking background jobs, in the worker process or beside the API. */
export async function startWork(app: INestApplicationContext): Promise<void> {
  const jobs = app.get(Jobs);
  await jobs.work('run-import', ({ organisationId, importId }) =>
    app.get(ImportRunner).run(organisationId, importId),
  );
}
