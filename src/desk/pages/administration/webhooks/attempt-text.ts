import type { Schemas } from '../../../api/client';

type Attempt = Pick<Schemas['DeliveryAttemptDto'], 'status' | 'failure' | 'detail' | 'durationMs'>;

const FAILURES: Record<NonNullable<Attempt['failure']>, string> = {
  timeout: 'no answer in time',
  'refused-address': 'the address may not be sent to',
  'unknown-host': 'the name is not known',
  'no-connection': 'no connection',
  'bad-certificate': 'its certificate is not valid',
  cut: 'the connection was cut',
  'event-no-longer-kept': 'the event is no longer kept',
};

/** What came of an attempt, such as `answered 500 after 120 ms`. */
export function attemptText({ status, failure, detail, durationMs }: Attempt): string {
  const outcome =
    status !== null
      ? `answered ${status}`
      : // reasons may come that this page does not know yet
        ((failure === null ? undefined : (FAILURES as Partial<Record<string, string>>)[failure]) ??
        failure ??
        'no answer');
  return `${outcome} after ${durationMs} ms${detail === null ? '' : ` (${detail})`}`;
}
