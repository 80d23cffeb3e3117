import { keepPreviousData, useQuery, useQueryClient, type QueryClient } from '@tanstack/react-query';
import { useEffect } from 'react';
import { addDays } from '../../../core/shared/calendar-date';
import { answered, api, everyItem, type Schemas } from '../../api/client';
import { registrationMarks } from '../../api/registration-marks';
import { withBooking, type Booking } from './booking-words';
import { dayPeriod, overlap, periodOf, type Period } from './day-axis';
import { turned, weekAround, type DiaryAddress } from './diary-address';

export type Workshop = Schemas['WorkshopDto'];
export type Bay = Schemas['BayDto'];
export type Technician = Schemas['TechnicianDto'];
export type OpenDay = Schemas['OpenDayDto'];

const REFRESH_MS = 20_000;
const CONFLICTS_REFRESH_MS = 60_000;
const SELDOM_CHANGED_MS = 5 * 60_000;
const MOST = 500;

export function useWorkshops() {
  return useQuery({
    queryKey: ['workshops'],
    staleTime: SELDOM_CHANGED_MS,
    queryFn: () =>
      everyItem((cursor) =>
        answered(api.GET('/v1/workshops', { params: { query: { limit: MOST, cursor } } })),
      ),
  });
}

/** Bays and people of a workshop. */
export function useResources(workshopId: string) {
  const path = { workshopId };
  const bays = useQuery({
    queryKey: ['workshop', workshopId, 'bays'],
    staleTime: SELDOM_CHANGED_MS,
    refetchInterval: CONFLICTS_REFRESH_MS,
    queryFn: () =>
      everyItem((cursor) =>
        answered(
          api.GET('/v1/workshops/{workshopId}/bays', {
            params: { path, query: { limit: MOST, cursor, includeRetired: true } },
          }),
        ),
      ),
  });
  const technicians = useQuery({
    queryKey: ['workshop', workshopId, 'technicians'],
    staleTime: SELDOM_CHANGED_MS,
    refetchInterval: CONFLICTS_REFRESH_MS,
    queryFn: () =>
      everyItem((cursor) =>
        answered(
          api.GET('/v1/workshops/{workshopId}/technicians', {
            params: { path, query: { limit: MOST, cursor, includeRetired: true } },
          }),
        ),
      ),
  });
  return { bays, technicians };
}

/** When the workshop is open in the week around a day, and in the one after it: work runs over weekends. */
export function useOpening(workshopId: string, on: string) {
  const [fromOn = on] = weekAround(on);
  const untilOn = addDays(fromOn, 14);
  return useQuery({
    queryKey: ['workshop', workshopId, 'opening', fromOn],
    staleTime: SELDOM_CHANGED_MS,
    queryFn: () =>
      answered(
        api.GET('/v1/workshops/{workshopId}/opening', {
          params: { path: { workshopId }, query: { fromOn, untilOn } },
        }),
      ),
  });
}

export function useConflicts(workshopId: string) {
  return useQuery({
    queryKey: ['workshop', workshopId, 'booking-conflicts'],
    refetchInterval: CONFLICTS_REFRESH_MS,
    queryFn: () =>
      answered(api.GET('/v1/workshops/{workshopId}/booking-conflicts', { params: { path: { workshopId } } })),
  });
}

const bookingsKey = (workshopId: string, { startsAt, endsAt }: Period) =>
  ['bookings', workshopId, startsAt, endsAt] as const;

function bookingsOf(workshopId: string, period: Period) {
  const [fromAt, untilAt] = [period.startsAt, period.endsAt].map((at) => new Date(at).toISOString());
  return {
    queryKey: bookingsKey(workshopId, period),
    queryFn: () =>
      everyItem((cursor) =>
        answered(
          api.GET('/v1/bookings', {
            params: { query: { workshopId, fromAt, untilAt, limit: MOST, cursor } },
          }),
        ),
      ),
  };
}

/** From the first moment of the day or the week to its last. */
export function shownPeriod(on: string, view: DiaryAddress['view'], zone: string): Period {
  const days = view === 'week' ? weekAround(on) : [on];
  return {
    startsAt: dayPeriod(days[0] ?? on, zone).startsAt,
    endsAt: dayPeriod(days.at(-1) ?? on, zone).endsAt,
  };
}

/** Bookings of the day or week that is shown, read again while it is looked at; those beside it are read ahead. */
export function useBookings({ id, zone }: Workshop, address: DiaryAddress) {
  const queries = useQueryClient();
  const { on, view } = address;
  const shown = useQuery({
    ...bookingsOf(id, shownPeriod(on, view, zone)),
    refetchInterval: REFRESH_MS,
  });
  useEffect(() => {
    if (!shown.isSuccess) return;
    for (const step of [1, -1] as const) {
      const beside = bookingsOf(id, shownPeriod(turned({ ...address, on, view }, step), view, zone));
      // what cannot be read ahead is read, and its error shown, when it is looked at
      queries.query(beside).catch(() => undefined);
    }
    // eslint-disable-next-line react-hooks/exhaustive-deps -- the day and the view are all of the address that counts
  }, [queries, shown.isSuccess, id, zone, on, view]);
  return shown;
}

/** Puts what was answered about one booking into every list that has been read, and has them read again. */
export function keepBooking(queries: QueryClient, booking: Booking): void {
  queries.setQueryData(['booking', booking.id], booking);
  for (const [key] of queries.getQueriesData<Booking[]>({ queryKey: ['bookings'] })) {
    const [, workshopId, startsAt, endsAt] = key as ReturnType<typeof bookingsKey>;
    const isIn = workshopId === booking.workshopId && overlap({ startsAt, endsAt }, periodOf(booking));
    queries.setQueryData<Booking[]>(key, (old) =>
      old === undefined ? old : isIn ? withBooking(old, booking) : old.filter(({ id }) => id !== booking.id),
    );
  }
  void queries.invalidateQueries({ queryKey: ['bookings'] });
  void queries.invalidateQueries({ queryKey: ['workshop', booking.workshopId, 'booking-conflicts'] });
}

/** One booking as it is now; until it is read, as the diary knows it. */
export function useBooking(bookingId: string, known: Booking | undefined) {
  return useQuery({
    queryKey: ['booking', bookingId],
    placeholderData: known ?? keepPreviousData,
    refetchInterval: REFRESH_MS,
    queryFn: () => answered(api.GET('/v1/bookings/{bookingId}', { params: { path: { bookingId } } })),
  });
}

const NO_MARKS: ReadonlyMap<string, string> = new Map();

/** Registration marks of vehicles, as far as they have been read. */
export function useMarks(vehicleIds: readonly string[]): ReadonlyMap<string, string> {
  const wanted = [...new Set(vehicleIds)].sort();
  const { data = NO_MARKS } = useQuery({
    queryKey: ['registration-marks', ...wanted],
    enabled: wanted.length > 0,
    staleTime: SELDOM_CHANGED_MS,
    placeholderData: keepPreviousData,
    queryFn: () => registrationMarks(wanted),
  });
  return data;
}
