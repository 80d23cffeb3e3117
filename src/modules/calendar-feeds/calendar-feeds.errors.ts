import { CodedError } from '../../platform/errors/coded-error';

export function feedRevoked(): CodedError {
  return new CodedError('state-conflict', 'This calendar feed is revoked; make a new one.');
}

/** The one answer for every address that opens no calendar, whatever is wrong with it. */
export function noCalendar(): CodedError {
  return new CodedError('not-found', 'There is no calendar at this address.');
}
