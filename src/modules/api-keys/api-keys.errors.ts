import { bodyError, CodedError } from '../../platform/errors/coded-error';

export function noSuchFleets(fleetIds: readonly string[]): CodedError {
  return new CodedError(
    'validation-failed',
    'A key can only be limited to fleets that there are.',
    fleetIds.map((fleetId) => ({
      pointer: '#/fleetIds',
      detail: `there is no fleet ${fleetId}`,
      remedy: 'give ids of your fleets',
    })),
  );
}

export function noSuchWorkshops(workshopIds: readonly string[]): CodedError {
  return new CodedError(
    'validation-failed',
    'A key can only be limited to workshops that there are.',
    workshopIds.map((workshopId) => ({
      pointer: '#/workshopIds',
      detail: `there is no workshop ${workshopId}`,
      remedy: 'give ids of workshops that you see, or leave the field out',
    })),
  );
}

export function widerThanYours(field: 'fleetIds' | 'workshopIds', what: 'fleets' | 'workshops'): CodedError {
  return bodyError(
    `#/${field}`,
    `Your own key is limited to some ${what}, so it cannot make a key for all of them.`,
    `name some of your ${what}`,
  );
}

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
