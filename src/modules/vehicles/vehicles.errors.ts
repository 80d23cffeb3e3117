import { bodyError, CodedError } from '../../platform/errors/coded-error';

export function vehicleKeyTaken(externalKey: string | null | undefined): CodedError {
  const detail = `There is a vehicle with the external key "${externalKey ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/externalKey', detail, remedy: 'use another key, or change the existing vehicle' },
  ]);
}

export function noSuchDepot(depotId: string): CodedError {
  return bodyError('#/depotId', `There is no depot ${depotId}.`, 'give the id of one of your depots');
}

export function depotOfAnotherFleet(depotId: string): CodedError {
  return bodyError(
    '#/depotId',
    `The depot ${depotId} belongs to another fleet.`,
    'give a depot of the same fleet; a vehicle that changes fleets is retired there and added here',
  );
}

export function noSuchProgramme(serviceProgrammeId: string | null | undefined): CodedError {
  return bodyError(
    '#/serviceProgrammeId',
    `There is no service programme ${serviceProgrammeId ?? ''}.`,
    "give the id of one of your service programmes, or null to follow the fleet's",
  );
}
