import { CodedError } from '../../platform/errors/coded-error';

const AGAIN =
  'take a new cursor with after=now, read everything again that you keep a copy of, and follow the new cursor';

export function olderThanKept(): CodedError {
  return noLongerKept(
    'Changes after this cursor have been deleted, because they are older than changes are kept.',
  );
}

export function ofAnotherHistory(): CodedError {
  return noLongerKept(
    'This cursor was made before the database was put back to an older state, so changes that it counts are gone.',
  );
}

function noLongerKept(detail: string): CodedError {
  return new CodedError('no-longer-kept', detail, [{ parameter: 'after', detail, remedy: AGAIN }]);
}
