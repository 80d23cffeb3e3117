import { CodedError, type FieldError } from '../../platform/errors/coded-error';

export function refusedMeasurement(faults: readonly FieldError[]): CodedError {
  return new CodedError('validation-failed', faults.map(({ detail }) => `${detail}.`).join(' '), faults);
}

export function unknownGauge(gaugeId: string): FieldError {
  return {
    pointer: '#/gaugeId',
    detail: `there is no gauge ${gaugeId}`,
    remedy: 'give the id of one of your gauges, or leave it out',
  };
}

export function noSuchUnit(unitId: string): FieldError {
  return {
    pointer: '#/unitKey',
    detail: `there is no gas unit ${unitId}`,
    remedy: 'give the key of one of your gas units',
  };
}

export function eventKeyTaken(externalKey: string | null): CodedError {
  const detail = `There is a test or charge with the external key "${externalKey ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/externalKey', detail, remedy: 'use another key, or void the existing record first' },
  ]);
}

export function keyOfAnotherUnit(externalKey: string): FieldError {
  return {
    pointer: '#/externalKey',
    detail: `"${externalKey}" is the key of a record of another unit`,
    remedy: 'use another key, or correct the unit',
  };
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
