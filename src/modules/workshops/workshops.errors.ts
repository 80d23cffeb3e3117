import { bodyError, CodedError, parameterError, type FieldError } from '../../platform/errors/coded-error';

export function workshopKeyTaken(externalKey: string | null | undefined): CodedError {
  const detail = `There is a workshop with the external key "${externalKey ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/externalKey', detail, remedy: 'use another key, or change the existing workshop' },
  ]);
}

export function nameTaken(what: 'bay' | 'technician', name: string): CodedError {
  const detail = `The workshop has a ${what} "${name}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/name', detail, remedy: 'use another name, or change the existing one' },
  ]);
}

export function refusedHours(faults: readonly FieldError[]): CodedError {
  return new CodedError('validation-failed', faults.map(({ detail }) => detail).join(' '), faults);
}

export function unknownRegion(region: string): FieldError {
  return {
    pointer: '#/holidayRegion',
    detail: `No public holidays are known of "${region}".`,
    remedy: 'give a code of GET /v1/holiday-regions, or leave it out and name the days in dayExceptions',
  };
}

export function gridNotDividing(gridMinutes: number): FieldError {
  return {
    pointer: '#/gridMinutes',
    detail: `${gridMinutes} minutes do not divide a day.`,
    remedy: 'give 5, 10, 15, 20, 30 or 60',
  };
}

export function noSuchWorkshop(workshopId: string, pointer: string): CodedError {
  return bodyError(pointer, `There is no workshop ${workshopId}.`, 'give the id of a workshop that you see');
}

export function noSuchBay(bayId: string): CodedError {
  return bodyError('#/bayId', `The workshop has no bay ${bayId}.`, 'give the id of a bay that it uses');
}

export function noSuchTechnician(technicianId: string, index: number): CodedError {
  return bodyError(
    `#/technicianIds/${index}`,
    `The workshop has no technician ${technicianId}.`,
    'give the id of somebody who works there',
  );
}

export function openingRangeRefused(mostDays: number): CodedError {
  return parameterError(
    'untilOn',
    `The range is empty or longer than ${mostDays} days.`,
    `give a day after fromOn, at most ${mostDays} days on`,
  );
}

/** In a file alone: a call without them is refused before. */
export function hoursMissing(): CodedError {
  return bodyError(
    '#/weeklyHours',
    'A new workshop needs its weekly hours.',
    'hand it over as a JSON object, which can carry them; CSV has no column for them',
  );
}
