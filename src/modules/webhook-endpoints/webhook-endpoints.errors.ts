import { bodyError, CodedError } from '../../platform/errors/coded-error';
import type { TargetFault } from '../../platform/outbound/outbound-target';
import type { DeliveryState } from './webhook-delivery.entity';
import type { EndpointState } from './endpoint-state';

export function urlNotAcceptable({ detail, remedy }: TargetFault): CodedError {
  return new CodedError('validation-failed', 'Messages cannot be sent to this address.', [
    { pointer: '#/url', detail, remedy },
  ]);
}

export function tooManyEndpoints(limit: number): CodedError {
  return new CodedError(
    'state-conflict',
    `There are ${limit} endpoints, which is as many as there can be. Delete one that is not needed.`,
  );
}

export function tooManySecrets(endsAt: Date): CodedError {
  return new CodedError(
    'state-conflict',
    `Several secrets sign already while one takes another's place. Rotate after ${endsAt.toISOString()}, or with ` +
      'overlapHours 0, which ends the earlier ones now.',
  );
}

export function notAwaitingConsent(state: EndpointState): CodedError {
  const remedy =
    state === 'active' ? 'Its receiver has consented.' : 'Enable it first: that asks for consent as well.';
  return new CodedError('state-conflict', `This endpoint is ${state}. ${remedy}`);
}

export function alreadyWaiting(state: DeliveryState): CodedError {
  return new CodedError(
    'state-conflict',
    `This delivery is ${state}: it is going to be sent without a replay.`,
  );
}

export function sinceInTheFuture(since: string): CodedError {
  return bodyError('#/since', `${since} is yet to come.`, 'give a moment that has been');
}
