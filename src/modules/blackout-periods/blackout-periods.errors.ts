import type { CalendarDate } from '../../core/shared/calendar-date';
import { bodyError, CodedError } from '../../platform/errors/coded-error';

export function blackoutAlready(
  fromOn: CalendarDate,
  untilOn: CalendarDate,
  existingId?: string,
): CodedError {
  const detail = `The vehicle has a blackout period from ${fromOn} until ${untilOn} already.`;
  return new CodedError(
    'already-exists',
    detail,
    [
      {
        pointer: '#/fromOn',
        detail,
        remedy: 'use the existing period, or delete it first to change its reason',
      },
    ],
    existingId === undefined ? {} : { existingId },
  );
}

export function blackoutTooLong(fromOn: CalendarDate, latestUntilOn: CalendarDate): CodedError {
  return bodyError(
    '#/untilOn',
    `A blackout period that begins on ${fromOn} ends on ${latestUntilOn} at the latest, after two years.`,
    'give an earlier day; a vehicle that may never leave the road cannot be serviced',
  );
}

export function blackoutKeyTaken(externalKey: string | null, existingId?: string): CodedError {
  const detail = `There is a blackout period with the external key "${externalKey ?? ''}" already.`;
  return new CodedError(
    'already-exists',
    detail,
    [{ pointer: '#/externalKey', detail, remedy: 'use another key, or the existing blackout period' }],
    existingId === undefined ? {} : { existingId },
  );
}
