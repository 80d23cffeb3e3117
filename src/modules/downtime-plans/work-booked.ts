import { settles } from '../../core/visit/goes-together';
import type { OwedItem, StandingBooking } from './plan-inputs';

export interface BookedItem {
  readonly item: OwedItem;
  readonly booking: StandingBooking;
}

/**
 * Items of one vehicle that need no visit of their own any more: bookings take them on, or settle them by the way.
 *
 * @param bookings of the vehicle; of several that take on the same item the first counts
 */
export function workBooked(owed: readonly OwedItem[], bookings: readonly StandingBooking[]): BookedItem[] {
  const booked = owed.flatMap((item): BookedItem[] => {
    const takesOn = ({ items }: StandingBooking): boolean =>
      items.some(({ dueItemKey, cycle }) => dueItemKey === item.key && cycle === item.cycle);
    const booking = bookings.find(takesOn);
    return booking === undefined ? [] : [{ item, booking }];
  });
  const others = owed.filter((item) => !booked.some((each) => each.item === item));
  const settled = others.flatMap((item): BookedItem[] => {
    const by = booked.find((each) => settles(each.item, item));
    return by === undefined ? [] : [{ item, booking: by.booking }];
  });
  return [...booked, ...settled];
}
