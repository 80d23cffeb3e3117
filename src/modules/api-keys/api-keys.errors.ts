import { bodyError, CodedError } from '../../platform/errors/coded-error';

export function expiresInThePast(expiresAt: string): CodedError {
  return bodyError('#/expiresAt', `${expiresAt} is over already.`, 'give a later moment, or null');
}

export function noLongerAccepted(state: 'revoked' | 'expired'): CodedError {
  return new CodedError('state-conflict', `This key is ${state} and cannot be rotated; make a new one.`);
}

export function lastAdministrator(): CodedError {
  return new CodedError(
    'state-conflict',
    'No other administrator key sees as much and lasts as long as this one: without it nobody could manage ' +
      'keys. Make another administrator key first.',
  );
}
