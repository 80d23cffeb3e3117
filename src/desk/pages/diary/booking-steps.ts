import { answered, api, ifMatch } from '../../api/client';
import type { Role } from '../../session/session';
import type { Booking, BookingStep } from './booking-words';

/** What a press does with a booking. The end of the work comes with the job sheet. */
export type PressedStep = Exclude<BookingStep, 'finish'>;

export const STEP_WORDS: Record<PressedStep, string> = {
  confirm: 'Confirm',
  arrive: 'Vehicle has arrived',
  start: 'Start work',
  collect: 'Vehicle is collected',
  cancel: 'Cancel booking',
  miss: 'Did not come',
};

export const STEPS_DONE: Record<PressedStep, string> = {
  confirm: 'confirmed',
  arrive: 'arrived',
  start: 'in work',
  collect: 'collected',
  cancel: 'cancelled',
  miss: 'did not come',
};

/** Roles that may book and move; the others see the diary. */
export const BOOKERS: readonly Role[] = ['fleet-planner', 'front-desk', 'dealer-system', 'administrator'];
/** Roles that make job sheets. */
export const SHEET_MAKERS: readonly Role[] = ['fleet-planner', 'front-desk', 'technician', 'administrator'];

const FOR_BOOKERS: readonly BookingStep[] = ['confirm', 'cancel'];

/** The steps that can be taken now by somebody with a role. */
export function stepsFor({ nextSteps }: Booking, role: Role): PressedStep[] {
  return nextSteps
    .filter((step): step is PressedStep => step !== 'finish')
    .filter((step) => BOOKERS.includes(role) || !FOR_BOOKERS.includes(step));
}

/** @param words the reason of a cancellation; why a vehicle on hold leaves */
export function takeStep(booking: Booking, step: PressedStep, words: string): Promise<Booking> {
  const params = { path: { bookingId: booking.id }, header: ifMatch(booking) };
  switch (step) {
    case 'confirm':
      return answered(api.POST('/v1/bookings/{bookingId}/confirmation', { params }));
    case 'arrive':
      return answered(api.POST('/v1/bookings/{bookingId}/arrival', { params, body: {} }));
    case 'start':
      return answered(api.POST('/v1/bookings/{bookingId}/work-start', { params, body: {} }));
    case 'collect':
      return answered(
        api.POST('/v1/bookings/{bookingId}/collection', {
          params,
          body: words === '' ? {} : { leavesOnHold: words },
        }),
      );
    case 'cancel':
      return answered(api.POST('/v1/bookings/{bookingId}/cancellation', { params, body: { reason: words } }));
    case 'miss':
      return answered(api.POST('/v1/bookings/{bookingId}/no-show', { params }));
  }
}
