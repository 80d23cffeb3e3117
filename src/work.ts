import type { INestApplicationContext } from '@nestjs/common';
import { BookingStepsService } from './modules/bookings/booking-steps.service';
import { ImportRunnerService } from './modules/imports/import-runner.service';
import { ProgrammeActivationService } from './modules/service-programmes/programme-activation.service';
import { Jobs } from './platform/jobs/jobs';
import { systemPrincipal } from './platform/security/principal';

/** Starts taking background jobs, in the worker process or beside the API. */
export async function startWork(app: INestApplicationContext): Promise<void> {
  const jobs = app.get(Jobs);
  const imports = app.get(ImportRunnerService);
  const bookings = app.get(BookingStepsService);
  const activation = app.get(ProgrammeActivationService);
  await jobs.work('run-import', ({ organisationId, importId }) => imports.run(organisationId, importId));
  await jobs.work('activate-programmes', async ({ organisationId }) => {
    await activation.activateDue(systemPrincipal(organisationId, 'activation of service programmes'));
  });
  await jobs.work('lapse-booking', ({ organisationId, bookingId }) =>
    bookings.lapse(organisationId, bookingId),
  );
}
