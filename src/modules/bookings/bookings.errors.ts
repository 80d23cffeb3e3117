import { statesBefore, type BookingState, type BookingStep } from '../../core/booking/booking-state';
import { bodyError, CodedError, type FieldError } from '../../platform/errors/coded-error';

/** @param because in the words of a front desk; what is in the way */
export function slotTaken(because: readonly string[]): CodedError {
  const detail = because.length === 0 ? 'Nobody and no bay is free then.' : because.join(' ');
  return new CodedError('slot-taken', detail);
}

/** What a booking that is written runs into where somebody was faster. */
export const GUARDS = { booking_allocations_no_double_booking: () => slotTaken([]) };

export function withFreeTimes(error: CodedError, freeTimes: readonly unknown[]): CodedError {
  return new CodedError(error.code, error.detail, error.fields, { ...error.extensions, freeTimes });
}

export function moreWorkshopsThanSearched(count: number, most: number): CodedError {
  return bodyError(
    '#/workshopIds',
    `${count} workshops take work, more than are searched for one answer.`,
    `name up to ${most} of them, such as those within reach of the vehicle`,
  );
}

export function bookingKeyTaken(externalKey: string | null): CodedError {
  const detail = `There is a booking with the external key "${externalKey ?? ''}" already.`;
  return new CodedError('already-exists', detail, [
    { pointer: '#/externalKey', detail, remedy: 'use another key, or change the existing booking' },
  ]);
}

const STEP_WORDS: Readonly<Record<BookingStep, string>> = {
  confirm: 'confirmed',
  arrive: 'marked as arrived',
  start: 'taken into work',
  finish: 'finished',
  collect: 'marked as collected',
  cancel: 'cancelled',
  miss: 'marked as missed',
};

export function stepNotPossible(step: BookingStep, state: BookingState): CodedError {
  const before = statesBefore(step).join(' or ');
  return new CodedError(
    'state-conflict',
    `The booking is ${state}; only one that is ${before} can be ${STEP_WORDS[step]}.`,
    [],
    { state },
  );
}

export function provisionalRanOut(until: Date): CodedError {
  return new CodedError(
    'state-conflict',
    `The time was held until ${until.toISOString()} and is given up; look whether it is still free and book it anew.`,
    [],
    { state: 'lapsed' },
  );
}

export function notChangeable(state: BookingState): CodedError {
  return new CodedError('state-conflict', `The booking is ${state} and cannot be changed any more.`, [], {
    state,
  });
}

export function alreadyHere(state: BookingState): CodedError {
  return new CodedError(
    'state-conflict',
    `The booking is ${state}: its workshop and its start stay. Make it longer or give it to others, or cancel it and book anew.`,
    [],
    { state },
  );
}

export function notHereYet(startsAt: Date): CodedError {
  return new CodedError(
    'state-conflict',
    `The booking starts at ${startsAt.toISOString()}: a vehicle can be missed only after that.`,
  );
}

export function stillOnHold(reasons: readonly string[]): CodedError {
  return new CodedError(
    'state-conflict',
    `The vehicle is on hold and must not go to the road: ${reasons.join('; ')}. If it leaves on a trailer or in tow, say so in leavesOnHold.`,
  );
}

export function tooLongAgo(startsAt: string): CodedError {
  return bodyError(
    '#/startsAt',
    `${startsAt} is more than a day ago.`,
    'give a start from yesterday on; work that is done is recorded as a completed task',
  );
}

export function notAWholeMinute(): CodedError {
  return bodyError('#/startsAt', 'The start has seconds.', 'give a whole minute');
}

export function tooFarAhead(days: number): CodedError {
  return bodyError(
    '#/startsAt',
    `The start is more than ${days} days ahead.`,
    `book at most ${days} days ahead`,
  );
}

export function momentRefused(detail: string, remedy: string): CodedError {
  return bodyError('#/at', detail, remedy);
}

export function noSuchDueItem(key: string, index: number): FieldError {
  return {
    pointer: `#/dueItemKeys/${index}`,
    detail: `The vehicle has no due item ${key}.`,
    remedy: "take the keys from the vehicle's due items",
  };
}

export function refusedWork(fields: readonly FieldError[]): CodedError {
  return new CodedError('validation-failed', fields.map(({ detail }) => detail).join(' '), fields);
}

export function nothingToDo(): CodedError {
  return bodyError(
    '#/dueItemKeys',
    'Nothing is due or may be done yet, and no extra work is named.',
    'name due items of the vehicle, or extra work with its minutes',
  );
}
