import { queryOptions, skipToken } from '@tanstack/react-query';
import { DateTime } from 'luxon';
import { answered, api, everyItem, type Schemas } from '../../api/client';
import { isOpen } from './open-bookings';

export type Vehicle = Schemas['VehicleDto'];
export type DueItem = Schemas['DueItemDto'];
export type Hold = Schemas['VehicleHoldDto'];
export type Booking = Schemas['BookingDto'];
export type FreeTime = Schemas['FreeTimeDto'];
export type FreeTimes = Schemas['FreeTimesDto'];
export type ExtraWork = Schemas['ExtraWorkDto'];
export type Suggestion = Schemas['VisitSuggestionDto'];
export type Workshop = Schemas['WorkshopDto'];

// names and opening hours change by the week, calls come by the minute
const SLOW_TO_CHANGE_MS = 10 * 60_000;
// a visit that is not closed longer than this is a matter for the diary
const BOOKINGS_SINCE_DAYS = 30;

export const vehicleQuery = (vehicleId: string) =>
  queryOptions({
    queryKey: ['vehicle', vehicleId],
    queryFn: () => answered(api.GET('/v1/vehicles/{vehicleId}', { params: { path: { vehicleId } } })),
  });

export const holdQuery = (vehicleId: string) =>
  queryOptions({
    queryKey: ['vehicle', vehicleId, 'hold'],
    queryFn: () => answered(api.GET('/v1/vehicles/{vehicleId}/hold', { params: { path: { vehicleId } } })),
  });

export const usageQuery = (vehicleId: string) =>
  queryOptions({
    queryKey: ['vehicle', vehicleId, 'usage'],
    queryFn: () => answered(api.GET('/v1/vehicles/{vehicleId}/usage', { params: { path: { vehicleId } } })),
  });

export const dueItemsQuery = (vehicleId: string) =>
  queryOptions({
    queryKey: ['vehicle', vehicleId, 'due-items'],
    queryFn: () =>
      answered(api.GET('/v1/vehicles/{vehicleId}/due-items', { params: { path: { vehicleId } } })),
  });

export const explainedItemQuery = (dueItemId: string) =>
  queryOptions({
    queryKey: ['due-item', dueItemId],
    queryFn: () => answered(api.GET('/v1/due-items/{dueItemId}', { params: { path: { dueItemId } } })),
  });

/** Bookings of a vehicle that are not over, in order of start. */
export const openBookingsQuery = (vehicleId: string) =>
  queryOptions({
    queryKey: ['vehicle', vehicleId, 'bookings'],
    queryFn: async () => {
      const fromAt = DateTime.utc().minus({ days: BOOKINGS_SINCE_DAYS }).toISO();
      const bookings = await everyItem((cursor) =>
        answered(api.GET('/v1/bookings', { params: { query: { vehicleId, fromAt, cursor } } })),
      );
      return bookings.filter(isOpen);
    },
  });

export const bookingQuery = (bookingId: string) =>
  queryOptions({
    queryKey: ['booking', bookingId],
    queryFn: () => answered(api.GET('/v1/bookings/{bookingId}', { params: { path: { bookingId } } })),
  });

export const depotQuery = (depotId: string | undefined) =>
  queryOptions({
    queryKey: ['depot', depotId],
    queryFn:
      depotId === undefined
        ? skipToken
        : () => answered(api.GET('/v1/depots/{depotId}', { params: { path: { depotId } } })),
    staleTime: SLOW_TO_CHANGE_MS,
  });

export const reachQuery = (depotId: string | undefined) =>
  queryOptions({
    queryKey: ['depot', depotId, 'reach'],
    queryFn:
      depotId === undefined
        ? skipToken
        : () => answered(api.GET('/v1/depots/{depotId}/workshop-reach', { params: { path: { depotId } } })),
    staleTime: SLOW_TO_CHANGE_MS,
  });

export const workshopsQuery = queryOptions({
  queryKey: ['workshops'],
  queryFn: () =>
    everyItem((cursor) => answered(api.GET('/v1/workshops', { params: { query: { cursor, limit: 500 } } }))),
  staleTime: SLOW_TO_CHANGE_MS,
});

/** Names of the bays and the people of a workshop by their ids. */
export const workshopNamesQuery = (workshopId: string) =>
  queryOptions({
    queryKey: ['workshop', workshopId, 'names'],
    queryFn: async () => {
      const path = { workshopId };
      const [bays, people] = await Promise.all([
        everyItem((cursor) =>
          answered(api.GET('/v1/workshops/{workshopId}/bays', { params: { path, query: { cursor } } })),
        ),
        everyItem((cursor) =>
          answered(
            api.GET('/v1/workshops/{workshopId}/technicians', { params: { path, query: { cursor } } }),
          ),
        ),
      ]);
      return new Map([...bays, ...people].map(({ id, name }) => [id, name]));
    },
    staleTime: SLOW_TO_CHANGE_MS,
  });
