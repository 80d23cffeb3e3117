import type { INestApplicationContext } from '@nestjs/common';
import { AuditSealingService } from './modules/audit-seals/audit-sealing.service';
import { BookingStepsService } from './modules/bookings/booking-steps.service';
import { EventRetentionService } from './modules/changes/event-retention.service';
import { DowntimePlanRunnerService } from './modules/downtime-plans/downtime-plan-runner.service';
import { PlanAcceptanceService } from './modules/downtime-plans/plan-acceptance.service';
import { StateAnnouncerService } from './modules/due-items/state-announcer.service';
import { ImportRunnerService } from './modules/imports/import-runner.service';
import { ProgrammeActivationService } from './modules/service-programmes/programme-activation.service';
import { WebhookConsentService } from './modules/webhook-endpoints/webhook-consent.service';
import { WebhookCourierService } from './modules/webhook-endpoints/webhook-courier.service';
import { Tenants } from './platform/database/tenants';
import { Jobs } from './platform/jobs/jobs';
import { RepeatedWork } from './platform/jobs/repeated-work';
import { systemPrincipal } from './platform/security/principal';

// how old an entry of the audit trail can become before it is sealed, as long as nothing holds it up
const SEALING_PAUSE_MS = 2_000;

/** Starts taking background jobs, in the worker process or beside the API. */
export async function startWork(app: INestApplicationContext): Promise<void> {
  const jobs = app.get(Jobs);
  const imports = app.get(ImportRunnerService);
  const bookings = app.get(BookingStepsService);
  const plans = app.get(DowntimePlanRunnerService);
  const acceptances = app.get(PlanAcceptanceService);
  const consents = app.get(WebhookConsentService);
  const activation = app.get(ProgrammeActivationService);
  await jobs.work('run-import', ({ organisationId, importId }) => imports.run(organisationId, importId));
  await jobs.work('give-up-import', ({ organisationId, importId }) =>
    imports.giveUp(organisationId, importId),
  );
  await jobs.work('activate-programmes', async ({ organisationId }) => {
    await activation.activateDue(systemPrincipal(organisationId, 'activation of service programmes'));
  });
  await jobs.work('lapse-booking', ({ organisationId, bookingId }) =>
    bookings.lapse(organisationId, bookingId),
  );
  await jobs.work('make-downtime-plan', ({ organisationId, planId }) => plans.run(organisationId, planId));
  await jobs.work('accept-downtime-plan', (acceptance) => acceptances.run(acceptance));
  await jobs.work('request-webhook-consent', (request) => consents.run(request));
  await jobs.work('announce-states', async ({ organisationId }) => {
    await app.get(StateAnnouncerService).run(organisationId);
  });
  await jobs.work('forget-events', async ({ organisationId }) => {
    await app.get(EventRetentionService).forget(organisationId);
  });
  await jobs.work('visit-organisations', async ({ job }) => {
    await jobs.enqueueForEach(job, await app.get(Tenants).ids());
  });
  await jobs.recur('announce-states', '*/10 * * * *');
  await jobs.recur('forget-events', '23 * * * *');
  const sealing = app.get(AuditSealingService);
  app.get(RepeatedWork).start('sealing of the audit trail', SEALING_PAUSE_MS, () => sealing.sealAll());
  app.get(WebhookCourierService).start();
}
