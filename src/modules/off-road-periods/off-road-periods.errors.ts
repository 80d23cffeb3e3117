import { CodedError, type FieldError } from '../../platform/errors/coded-error';
import type { OffRoadPeriod } from './off-road-period.entity';

type Days = Pick<OffRoadPeriod, 'fromOn' | 'untilOn'>;

export function offRoadPeriodKeyTaken(externalKey: string | null, existingId?: string): CodedError {
  const detail = `There is an off-road period with the external key "${externalKey ?? ''}" already.`;
  return new CodedError(
    'already-exists',
    detail,
    [{ pointer: '#/externalKey', detail, remedy: 'use another key, or the existing off-road period' }],
    existingId === undefined ? {} : { existingId },
  );
}

export function offRoadAlready(existing: Days & { id: string }): CodedError {
  const overlap = overlapsWith(existing);
  return new CodedError(
    'already-exists',
    `The period shares days with another: ${overlap.detail}.`,
    [overlap],
    {
      existingId: existing.id,
    },
  );
}

export function overlapsWith({ fromOn, untilOn }: Days): FieldError {
  return {
    pointer: '#/fromOn',
    detail: `the vehicle is on file as off the road from ${fromOn} until back on ${untilOn}`,
    remedy: 'give days that are not recorded yet, or delete the existing period first',
  };
}
