import { bodyError, CodedError } from '../../platform/errors/coded-error';

export function fleetKeyTaken(externalKey: string | null | undefined): CodedError {
  const detail = `There is a fleet with the external key "${externalKey ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/externalKey', detail, remedy: 'use another key, or change the existing fleet' },
  ]);
}

export function noSuchProgramme(serviceProgrammeId: string | null | undefined): CodedError {
  return bodyError(
    '#/serviceProgrammeId',
    `There is no service programme ${serviceProgrammeId ?? ''}.`,
    'give the id of one of your service programmes, or null for the default',
  );
}
