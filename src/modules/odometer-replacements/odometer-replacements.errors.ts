import { formatInstant } from '../../core/shared/instant';
import { CodedError, type FieldError } from '../../platform/errors/coded-error';
import type { OdometerReplacement } from './odometer-replacement.entity';

export function replacementKeyTaken(externalKey: string | null, existingId?: string): CodedError {
  const detail = `There is a replacement with the external key "${externalKey ?? ''}" already.`;
  return new CodedError(
    'already-exists',
    detail,
    [{ pointer: '#/externalKey', detail, remedy: 'use another key, or the existing replacement' }],
    existingId === undefined ? {} : { existingId },
  );
}

export function replacedThenAlready(existing: Pick<OdometerReplacement, 'id' | 'replacedAt'>): CodedError {
  const error = anotherReplacementThen(existing.replacedAt.getTime());
  return new CodedError('already-exists', `${error.detail}.`, [error], { existingId: existing.id });
}

export function anotherReplacementThen(at: number): FieldError {
  return {
    pointer: '#/replacedAt',
    detail: `a replacement of this instrument at ${formatInstant(at)} is on file already`,
    remedy: 'change the existing replacement, or give another instant',
  };
}

export function unitsOfAnotherMeter(
  meter: OdometerReplacement['meter'],
  { oldUnit, newUnit }: Pick<OdometerReplacement, 'oldUnit' | 'newUnit'>,
): FieldError[] {
  const wrong = (unit: string): boolean => (meter === 'engine-hours') !== (unit === 'h');
  const remedy =
    meter === 'odometer' ? 'give km or mi, or the meter engine-hours' : 'give h, or the meter odometer';
  const what = meter === 'odometer' ? 'an odometer does not count' : 'engine hours are not counted';
  return [
    ...(wrong(oldUnit) ? [{ pointer: '#/oldUnit', detail: `${what} in ${oldUnit}`, remedy }] : []),
    ...(wrong(newUnit) ? [{ pointer: '#/newUnit', detail: `${what} in ${newUnit}`, remedy }] : []),
  ];
}

export function replacementRefused(errors: readonly FieldError[]): CodedError {
  return new CodedError('validation-failed', errors.map(({ detail }) => detail).join(' '), errors);
}

export function readingsRestOnIt({ before, after }: { before: string; after: string }): CodedError {
  return new CodedError(
    'state-conflict',
    `Without this replacement the accepted reading ${after} would be below ${before}. Reject the readings of the new instrument first, or change the values of the replacement.`,
  );
}
