import type { HoldReason } from '../../core/due/hold';
import { bodyError, CodedError } from '../../platform/errors/coded-error';

export const LONGEST_OVERRIDE_DAYS = 30;

export function alreadyLifted(liftedBy: string | null): CodedError {
  return new CodedError('state-conflict', `${liftedBy ?? 'Somebody'} has lifted this hold already.`);
}

export function alreadyRevoked(revokedBy: string | null): CodedError {
  return new CodedError('state-conflict', `${revokedBy ?? 'Somebody'} has revoked this override already.`);
}

export function notAReason(keys: readonly string[], present: readonly HoldReason[]): CodedError {
  const known = present.map(({ key }) => `"${key}"`).join(', ');
  return new CodedError(
    'validation-failed',
    present.length === 0
      ? 'Nothing holds this vehicle today, so there is nothing to override.'
      : 'An override names reasons that hold the vehicle today.',
    keys.map((key) => ({
      pointer: '#/reasonKeys',
      detail: `"${key}" does not hold this vehicle today`,
      remedy: present.length === 0 ? 'record no override' : `name some of ${known}`,
    })),
  );
}

export function startsInThePast(fromOn: string, todayOn: string): CodedError {
  return bodyError(
    '#/fromOn',
    `${fromOn} is before today, ${todayOn} at the vehicle's depot.`,
    'give today or a later day: what was released before cannot be decided afterwards',
  );
}

export function endsBeforeItStarts(fromOn: string, untilOn: string): CodedError {
  return bodyError('#/untilOn', `${untilOn} is before ${fromOn}.`, 'give the last day on which it counts');
}

export function lastsTooLong(days: number, latestOn: string): CodedError {
  return bodyError(
    '#/untilOn',
    `The override would last ${days} days; ${LONGEST_OVERRIDE_DAYS} is the most.`,
    `give ${latestOn} or an earlier day; the decision can be taken anew then`,
  );
}
