import { formatInstant } from '../../core/shared/instant';
import type { Suspicion } from '../../core/usage/plausibility';
import { bodyError, CodedError, type FieldError } from '../../platform/errors/coded-error';
import type { OdometerReading } from './odometer-reading.entity';
import type { Meter, ReadingOnFile } from './vehicle-history';

export function unitOfAnotherMeter(meter: Meter, unit: string): FieldError {
  return {
    pointer: '#/unit',
    detail:
      meter === 'odometer'
        ? `an odometer does not count in ${unit}`
        : `engine hours are not counted in ${unit}`,
    remedy:
      meter === 'odometer' ? 'give km or mi, or the meter engine-hours' : 'give h, or the meter odometer',
  };
}

export function keyOfAnotherReading(existing: Omit<ReadingOnFile, 'id'>): FieldError {
  const { externalKey, value, unit, at } = existing;
  return {
    pointer: '#/externalKey',
    detail: `"${externalKey ?? ''}" is the key of the reading ${value} ${unit} of ${formatInstant(at)}; a reading on file is never altered`,
    remedy: 'record the right reading under a key of its own, and reject the wrong one',
  };
}

export function readingOnFile(existingId: string | null): CodedError {
  const which = existingId === null ? 'under this key' : `as ${existingId}`;
  return new CodedError(
    'already-exists',
    `This reading is on file already, ${which}.`,
    [],
    existingId === null ? {} : { existingId },
  );
}

export function readingRefused(error: FieldError, existingId: string | null): CodedError {
  return new CodedError(
    error.pointer === '#/externalKey' ? 'already-exists' : 'validation-failed',
    `${error.detail}.`,
    [error],
    existingId === null ? {} : { existingId },
  );
}

export function decidedAlready({ state, decidedBy, decidedAt }: OdometerReading): CodedError {
  return new CodedError(
    'state-conflict',
    decidedAt === null
      ? `The reading is ${state}; a reading that was accepted on entry can only be rejected.`
      : `The reading was ${state} by ${decidedBy ?? ''} at ${decidedAt.toISOString()}.`,
  );
}

export function cannotBeAccepted(
  pointer: '#/decision' | '#/value',
  findings: readonly { code: string; explanation: string }[],
): CodedError {
  return bodyError(
    pointer,
    findings.map(({ explanation }) => explanation).join(' '),
    'accept a corrected value or reject the reading; where an accepted reading or a missing replacement of the instrument is to blame, put that right first',
  );
}

/** What no statement of a person can make true: a meter does not run backwards, and nobody reads it tomorrow. */
export const IMPOSSIBLE: ReadonlySet<string> = new Set<Suspicion>([
  'future-instant',
  'below-previous',
  'above-next',
]);
