import { bodyError, CodedError } from '../../platform/errors/coded-error';

export function depotKeyTaken(externalKey: string | null | undefined): CodedError {
  const detail = `There is a depot with the external key "${externalKey ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/externalKey', detail, remedy: 'use another key, or change the existing depot' },
  ]);
}

export function depotOfAnotherFleet(externalKey: string): CodedError {
  return bodyError(
    '#/fleetKey',
    `The depot "${externalKey}" belongs to another fleet, and stays there.`,
    'correct the fleet, or use another key for another depot',
  );
}
