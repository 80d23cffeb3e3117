import { bodyError, CodedError } from '../../platform/errors/coded-error';

export function programmeNameTaken(name: string | undefined): CodedError {
  const detail = `There is a service programme named "${name ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    {
      pointer: '#/name',
      detail,
      remedy: 'use another name, or make a new version of the existing programme',
    },
  ]);
}

export function rulesMissing(otherWay: string): CodedError {
  return bodyError('#/rules', 'No rules are given.', `give 1 to 200 rules, or ${otherWay}`);
}

export function givenBesideStarter(pointer: string): CodedError {
  return bodyError(
    pointer,
    'The starter programme brings rules and factors of its own.',
    'leave it out, or leave out fromStarter; the draft may be changed afterwards',
  );
}

export function noSuchVersion(versionId: string): CodedError {
  return bodyError(
    '#/basedOn',
    `The programme has no version ${versionId}.`,
    'give the id of a version of this programme',
  );
}

export function versionIsPublished(versionNumber: number, doing: string): CodedError {
  const detail = `Version ${versionNumber} is published; it cannot be ${doing}.`;
  return new CodedError('state-conflict', detail, [
    { parameter: 'versionId', detail, remedy: 'make a new version based on it' },
  ]);
}

export function effectiveInThePast(effectiveOn: string, todayOn: string): CodedError {
  return bodyError(
    '#/effectiveOn',
    `${effectiveOn} has passed: it is ${todayOn} at one of your depots.`,
    `give ${todayOn} or a later day`,
  );
}

export function concernsAllFleets(doing: string): CodedError {
  return new CodedError(
    'forbidden',
    `Your key sees some fleets only; ${doing} moves the due items of all fleets.`,
  );
}

export function noSuchProgramme(serviceProgrammeId: string): CodedError {
  return bodyError(
    '#/serviceProgrammeId',
    `There is no service programme ${serviceProgrammeId}.`,
    'give the id of one of your service programmes, or null for none',
  );
}
