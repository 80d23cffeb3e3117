import type { BookingState } from '../../core/booking/booking-state';
import { bodyError, CodedError, type FieldError } from '../../platform/errors/coded-error';

export function sheetThere(jobSheetId: string): CodedError {
  return new CodedError('state-conflict', `The booking has the job sheet ${jobSheetId} already.`, [], {
    jobSheetId,
  });
}

export function noSheetFor(state: BookingState): CodedError {
  return new CodedError(
    'state-conflict',
    `The booking is ${state}; a job sheet is made for one that is confirmed, arrived or in work.`,
    [],
    { state },
  );
}

export function alreadyCompleted(): CodedError {
  return new CodedError(
    'state-conflict',
    'The job sheet is completed and stays as it was signed off. What came to light since is recorded on the vehicle.',
  );
}

export function workNotBegun(state: BookingState): CodedError {
  return new CodedError(
    'state-conflict',
    `The booking is ${state}; the job is completed once the vehicle has arrived and work has started.`,
    [],
    { state },
  );
}

export function refusedEntries(faults: readonly FieldError[]): CodedError {
  const detail =
    faults.length === 1
      ? (faults[0]?.detail ?? '')
      : `${faults.length} entries are missing or not acceptable.`;
  return new CodedError('validation-failed', detail, faults);
}

export function notAtThisWorkshop(technicianId: string): CodedError {
  return bodyError(
    '#/signedOffBy',
    `The workshop has no technician ${technicianId}.`,
    'give the id of somebody who works there',
  );
}

export function notCompetent(
  name: string,
  missing: readonly string[],
  others: readonly string[],
): CodedError {
  const remedy =
    others.length === 0
      ? 'record the competence if somebody has it; nobody of this workshop does'
      : `let ${others.join(' or ')} sign off`;
  return bodyError('#/signedOffBy', `${name} does not have ${missing.join(', ')} on that day.`, remedy);
}

export function finishedWrong(detail: string): CodedError {
  return bodyError('#/finishedAt', detail, 'give the moment at which the work ended');
}

export function periodFault(place: number, detail: string): FieldError {
  return {
    pointer: `#/workPeriods/${place}`,
    detail,
    remedy: 'give periods of people of this workshop, between the start of the work and its end',
  };
}

export function noSpareUnit(pointer: string, serialNumber: string, found: number): FieldError {
  return {
    pointer,
    detail:
      found === 0
        ? `No unit ${serialNumber} is on a shelf or away for recharge.`
        : `${found} units have the serial number ${serialNumber}.`,
    remedy: 'check the serial number, or record the unit first',
  };
}

export function noSuchStep(place: number, key: string): FieldError {
  return {
    pointer: `#/entries/${place}/key`,
    detail: `The sheet has no step ${key}.`,
    remedy: 'take the keys from the steps of the sheet',
  };
}

export function enteredTwice(place: number, key: string): FieldError {
  return {
    pointer: `#/entries/${place}/key`,
    detail: `There are two entries for the step ${key}.`,
    remedy: 'give one entry for each step',
  };
}

export function noSuchGauge(place: number, gaugeId: string): FieldError {
  return {
    pointer: `#/entries/${place}/gaugeId`,
    detail: `There is no gauge ${gaugeId}.`,
    remedy: 'give the id of one of your gauges, or leave it out',
  };
}
