import { bodyError, CodedError, type FieldError } from '../../platform/errors/coded-error';

export function completionKeyTaken(externalKey: string | null): CodedError {
  const detail = `There is a completed task with the external key "${externalKey ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/externalKey', detail, remedy: 'use another key, or void the existing record first' },
  ]);
}

export function unitWithoutValue(): CodedError {
  return bodyError(
    '#/odometerUnit',
    'There is a unit, and no odometer value.',
    'give odometerValue too, or leave the unit out',
  );
}

export function refusedDay(error: FieldError): CodedError {
  return new CodedError('validation-failed', `${error.detail}.`, [error]);
}

/** Why work cannot have been done on a day; null where it can. */
export function dayError(doneOn: string, todayOn: string, inServiceOn: string | null): FieldError | null {
  if (doneOn > todayOn) {
    return {
      pointer: '#/doneOn',
      detail: `${doneOn} is later than today (${todayOn}) at the vehicle's depot`,
      remedy: 'record the work on the day it is done, or later',
    };
  }
  if (inServiceOn !== null && doneOn < inServiceOn) {
    return {
      pointer: '#/doneOn',
      detail: `the vehicle entered service on ${inServiceOn}, after ${doneOn}`,
      remedy: "correct the day, or the vehicle's in-service date if that is wrong",
    };
  }
  return null;
}

export function voidedAlready(voidedAt: string): CodedError {
  return new CodedError('state-conflict', `This record was voided at ${voidedAt}; it counts no more.`);
}

export function voidedUnderThisKey(externalKey: string): FieldError {
  return {
    pointer: '#/externalKey',
    detail: `the record with the key "${externalKey}" was voided, and said something else`,
    remedy: 'give the corrected record a key of its own',
  };
}
