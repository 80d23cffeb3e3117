/** Background work by the name of its queue, with what a job of it carries. */
export interface JobData {
  /** one uploaded file to work through */
  'run-import': { organisationId: string; importId: string };
  /** one whose work failed as often as it may */
  'give-up-import': { organisationId: string; importId: string };
  /** published versions of service programmes whose day has come */
  'activate-programmes': { organisationId: string };
  /** a time that was held for a caller and runs out */
  'lapse-booking': { organisationId: string; bookingId: string };
  /** off-road days of a fleet to be worked out */
  'make-downtime-plan': { organisationId: string; planId: string };
  /** a plan whose visits become bookings */
  'accept-downtime-plan': {
    organisationId: string;
    planId: string;
    /** null: all that are not booked yet */
    visitIds: string[] | null;
    /** who accepts */
    actorId: string | null;
    actor: string;
  };
  /** a receiver of webhooks to be asked for its consent */
  'request-webhook-consent': {
    organisationId: string;
    endpointId: string;
    consentRequestId: string;
    failedAttempts: number;
  };
  /** a job that every organisation is owed again */
  'visit-organisations': { job: RecurringJob };
  /** due items and holds that the passing of time has brought */
  'announce-states': { organisationId: string };
  /** events that are older than they are kept */
  'forget-events': { organisationId: string };
}

export type JobName = keyof JobData;

/** Background work that is done for each organisation again and again. */
export type RecurringJob = 'announce-states' | 'forget-events';

export const jobNames: readonly JobName[] = [
  'give-up-import',
  'run-import',
  'activate-programmes',
  'lapse-booking',
  'make-downtime-plan',
  'accept-downtime-plan',
  'request-webhook-consent',
  'visit-organisations',
  'announce-states',
  'forget-events',
];

/** Queues whose jobs go on to another one when they failed as often as they may; that one stands before them. */
export const givenUpTo: Partial<Record<JobName, JobName>> = { 'run-import': 'give-up-import' };

/** Queues where a job that waits is not queued a second time for the same organisation. */
export const oneWaiting: ReadonlySet<JobName> = new Set<JobName>(['announce-states', 'forget-events']);

export const JOBS_SCHEMA = 'jobs';

/** A job whose worker has not been heard of for so long is given to another one. */
export const HEARTBEAT_SECONDS = 20;
