import { bodyError, CodedError, type FieldError } from '../../platform/errors/coded-error';
import type { DutyChange } from './duty-change.entity';

export function dutyChangeKeyTaken(externalKey: string | null, existingId?: string): CodedError {
  const detail = `There is a duty change with the external key "${externalKey ?? ''}" already.`;
  return new CodedError(
    'already-exists',
    detail,
    [{ pointer: '#/externalKey', detail, remedy: 'use another key, or the existing duty change' }],
    existingId === undefined ? {} : { existingId },
  );
}

export function changedThatDayAlready(existing: Pick<DutyChange, 'id' | 'fromOn' | 'dutyClass'>): CodedError {
  return new CodedError(
    'already-exists',
    `The vehicle changed to ${existing.dutyClass} on ${existing.fromOn} already.`,
    [anotherChangeThatDay(existing)],
    { existingId: existing.id },
  );
}

export function anotherChangeThatDay({
  fromOn,
  dutyClass,
}: Pick<DutyChange, 'fromOn' | 'dutyClass'>): FieldError {
  return {
    pointer: '#/fromOn',
    detail: `the vehicle changed to ${dutyClass} on ${fromOn} already`,
    remedy: 'give another day, or delete the existing duty change first',
  };
}

export function notYet(fromOn: string, todayOn: string): CodedError {
  const { detail, remedy } = laterThanToday(fromOn, todayOn);
  return bodyError('#/fromOn', `A duty change on ${fromOn} lies in the future: ${detail}.`, remedy);
}

export function laterThanToday(fromOn: string, todayOn: string): FieldError {
  return {
    pointer: '#/fromOn',
    detail: `${fromOn} is later than today (${todayOn}) at the vehicle's depot`,
    remedy: 'record a duty change on the day it happens, or later',
  };
}
