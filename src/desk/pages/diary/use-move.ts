import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { changeableIn } from '../../../core/booking/booking-state';
import { answered, api, ifMatch, type Schemas } from '../../api/client';
import type { Booking } from './booking-words';
import { keepBooking } from './diary-data';

export type FreeTime = Schemas['FreeTimeDto'];

/** Where and when a booking is to stand, and who does it. */
export interface Place {
  startsAt: number;
  bayId: string;
  technicianIds: readonly string[];
}

/** A booking that somebody has in hand; it still stands where it stood. */
export interface Move {
  booking: Booking;
  /** the bay or the person whose column it was taken from */
  fromColumnId: string;
  /** the one it is held over now */
  columnId: string;
  to: Place;
  dragged: boolean;
}

export interface Refusal {
  booking: Booking;
  error: unknown;
}

export const placeOf = ({ startsAt, bayId, technicianIds }: Booking): Place => ({
  startsAt: Date.parse(startsAt),
  bayId,
  technicianIds,
});

export const placeOfFreeTime = ({ startsAt, bayId, technicians }: FreeTime): Place => ({
  startsAt: Date.parse(startsAt),
  bayId,
  technicianIds: technicians.map(({ id }) => id),
});

/** A vehicle that is here keeps its start; bay and people may still change. */
export const keepsStart = ({ state }: Booking): boolean => changeableIn(state) === 'the-end-and-who-does-it';

/** Whether anything of a booking may still be moved. */
export const isMovable = ({ state }: Booking): boolean => changeableIn(state) !== null;

const isSame = (one: Place, other: Place): boolean =>
  one.startsAt === other.startsAt &&
  one.bayId === other.bayId &&
  one.technicianIds.join() === other.technicianIds.join();

/** The place with another bay, or with another person in the stead of the one whose column it came from. */
export function overColumn(
  { booking, fromColumnId, to }: Move,
  by: 'bays' | 'people',
  columnId: string,
): Place {
  if (by === 'bays') return { ...to, bayId: columnId };
  const others = booking.technicianIds.filter((id) => id !== fromColumnId && id !== columnId);
  return { ...to, technicianIds: columnId === fromColumnId ? booking.technicianIds : [columnId, ...others] };
}

/**
 * One booking in hand at a time. Bay and people are always named, so that nothing changes but what was shown; what is
 * refused stays where it stood.
 */
export function useMove(onSettled: (booking: Booking, outcome: 'moved' | 'refused' | 'given-up') => void) {
  const queries = useQueryClient();
  const [move, setMove] = useState<Move | null>(null);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const save = useMutation({
    mutationFn: ({ booking, to }: { booking: Booking; to: Place }) =>
      answered(
        api.PATCH('/v1/bookings/{bookingId}', {
          params: { path: { bookingId: booking.id }, header: ifMatch(booking) },
          body: {
            startsAt: new Date(to.startsAt).toISOString(),
            bayId: to.bayId,
            technicianIds: [...to.technicianIds],
          },
        }),
      ),
    onSuccess: (booking) => {
      keepBooking(queries, booking);
      setMove(null);
      onSettled(booking, 'moved');
    },
    onError: (error, { booking }) => {
      setMove(null);
      setRefusal({ booking, error });
      void queries.invalidateQueries({ queryKey: ['bookings'] });
      onSettled(booking, 'refused');
    },
  });
  return {
    move,
    refusal,
    saving: save.isPending,
    begin: (booking: Booking, columnId: string, dragged: boolean): void => {
      setRefusal(null);
      setMove({ booking, fromColumnId: columnId, columnId, to: placeOf(booking), dragged });
    },
    hold: (next: Move): void => setMove(next),
    /** Somebody turns to another page: what was in hand is forgotten. */
    drop: (): void => {
      setMove(null);
      setRefusal(null);
    },
    giveUp: (): void => {
      if (save.isPending) return;
      const booking = move?.booking ?? refusal?.booking;
      setMove(null);
      setRefusal(null);
      if (booking !== undefined) onSettled(booking, 'given-up');
    },
    keep: (): void => {
      if (move === null || save.isPending) return;
      const { booking, to } = move;
      if (!isSame(to, placeOf(booking))) {
        save.mutate({ booking, to });
        return;
      }
      setMove(null);
      onSettled(booking, 'given-up');
    },
    take: (booking: Booking, to: Place): void => {
      if (save.isPending) return;
      setRefusal(null);
      save.mutate({ booking, to });
    },
  };
}

export type Moving = ReturnType<typeof useMove>;
