import { bodyError, CodedError } from '../../platform/errors/coded-error';
import { placeInWords, type PlacementRow } from './placement-row';

export function unitKeyTaken(externalKey: string | null | undefined): CodedError {
  const detail = `There is a gas unit with the external key "${externalKey ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/externalKey', detail, remedy: 'use another key, or change the existing unit' },
  ]);
}

export function serialNumberTaken(serialNumber: string): CodedError {
  const detail = `There is a unit ${serialNumber} of this type already.`;
  return new CodedError('already-exists', detail, [
    {
      pointer: '#/serialNumber',
      detail,
      remedy: 'read the stamp again; if it is the same unit, move the existing one instead',
    },
  ]);
}

export function noSuchUnitType(unitTypeId: string): CodedError {
  return bodyError(
    '#/unitTypeId',
    `There is no type of gas unit ${unitTypeId}.`,
    'give the id of one of your types, or add the type first',
  );
}

export function noSuchUnitFleet(fleetId: string): CodedError {
  return bodyError('#/fleetId', `There is no fleet ${fleetId}.`, 'give the id of one of your fleets');
}

export function fleetOfTheVehicle(fleetId: string): CodedError {
  return bodyError(
    '#/fleetId',
    'The vehicle that the unit is fitted to belongs to another fleet.',
    `give the fleet of the vehicle, ${fleetId}`,
  );
}

export function fleetGoesWithPlace(place: PlacementRow): CodedError {
  const detail = `Unit ${place.serialNumber} is ${placeInWords(place)}; only a unit on the shelf changes its fleet.`;
  return new CodedError('state-conflict', detail, [
    {
      pointer: '#/fleetId',
      detail,
      remedy: 'move it to a vehicle of the other fleet, or put it on the shelf first',
    },
  ]);
}

export function madeTooLate(pointer: string, madeOn: string, what: string): CodedError {
  return bodyError(pointer, `${madeOn} is later than ${what}.`, 'give the day on which the unit was made');
}
