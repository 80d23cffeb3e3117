import { infiniteQueryOptions, queryOptions, useQueryClient } from '@tanstack/react-query';
import { useCallback } from 'react';
import { answered, api, everyItem, type Schemas } from '../../api/client';
import { inPages } from '../../api/in-pages';

const LONGEST_PAGE = 200;

export type Vehicle = Schemas['VehicleDto'];
export type DueItem = Schemas['DueItemDto'];
export type HydraulicSystem = Schemas['HydraulicSystemDto'];

const keyOf = (vehicleId: string, ...rest: string[]): string[] => ['vehicle', vehicleId, ...rest];

/** What is read of one vehicle. */
export function vehicleQueries(vehicleId: string) {
  const params = { path: { vehicleId } };
  return {
    vehicle: queryOptions({
      queryKey: keyOf(vehicleId, 'record'),
      queryFn: () => answered(api.GET('/v1/vehicles/{vehicleId}', { params })),
    }),
    hold: queryOptions({
      queryKey: keyOf(vehicleId, 'hold'),
      queryFn: () => answered(api.GET('/v1/vehicles/{vehicleId}/hold', { params })),
    }),
    dueItems: queryOptions({
      queryKey: keyOf(vehicleId, 'due-items'),
      queryFn: () => answered(api.GET('/v1/vehicles/{vehicleId}/due-items', { params })),
    }),
    system: queryOptions({
      queryKey: keyOf(vehicleId, 'hydraulic-system'),
      queryFn: () => answered(api.GET('/v1/vehicles/{vehicleId}/hydraulic-system', { params })),
    }),
    positions: queryOptions({
      queryKey: keyOf(vehicleId, 'unit-positions'),
      queryFn: () => answered(api.GET('/v1/vehicles/{vehicleId}/unit-positions', { params })),
    }),
    usage: queryOptions({
      queryKey: keyOf(vehicleId, 'usage'),
      queryFn: () => answered(api.GET('/v1/vehicles/{vehicleId}/usage', { params })),
    }),
    placements: infiniteQueryOptions({
      queryKey: keyOf(vehicleId, 'unit-placements'),
      ...inPages((query) =>
        api.GET('/v1/vehicles/{vehicleId}/unit-placements', { params: { ...params, query } }),
      ),
    }),
    readings: infiniteQueryOptions({
      queryKey: keyOf(vehicleId, 'odometer-readings'),
      ...inPages((query) =>
        api.GET('/v1/vehicles/{vehicleId}/odometer-readings', { params: { ...params, query } }),
      ),
    }),
    quarantined: queryOptions({
      queryKey: keyOf(vehicleId, 'quarantined'),
      queryFn: () =>
        everyItem((cursor) =>
          answered(
            api.GET('/v1/vehicles/{vehicleId}/odometer-readings', {
              params: { ...params, query: { state: 'quarantined', limit: LONGEST_PAGE, ...at(cursor) } },
            }),
          ),
        ),
    }),
    completions: infiniteQueryOptions({
      queryKey: keyOf(vehicleId, 'task-completions'),
      ...inPages((query) =>
        api.GET('/v1/vehicles/{vehicleId}/task-completions', {
          params: { ...params, query: { ...query, includeVoided: true } },
        }),
      ),
    }),
    systemTests: infiniteQueryOptions({
      queryKey: keyOf(vehicleId, 'system-tests'),
      ...inPages((query) =>
        api.GET('/v1/vehicles/{vehicleId}/system-tests', {
          params: { ...params, query: { ...query, includeVoided: true } },
        }),
      ),
    }),
    dutyChanges: queryOptions({
      queryKey: keyOf(vehicleId, 'duty-changes'),
      queryFn: () =>
        everyItem((cursor) =>
          answered(
            api.GET('/v1/vehicles/{vehicleId}/duty-changes', {
              params: { ...params, query: { limit: LONGEST_PAGE, ...at(cursor) } },
            }),
          ),
        ),
    }),
    replacements: queryOptions({
      queryKey: keyOf(vehicleId, 'odometer-replacements'),
      queryFn: () =>
        everyItem((cursor) =>
          answered(
            api.GET('/v1/vehicles/{vehicleId}/odometer-replacements', {
              params: { ...params, query: { limit: LONGEST_PAGE, ...at(cursor) } },
            }),
          ),
        ),
    }),
    bookings: infiniteQueryOptions({
      queryKey: keyOf(vehicleId, 'bookings'),
      ...inPages((query) => api.GET('/v1/bookings', { params: { query: { ...query, vehicleId } } })),
    }),
    offRoad: infiniteQueryOptions({
      queryKey: keyOf(vehicleId, 'off-road-periods'),
      ...inPages((query) =>
        api.GET('/v1/vehicles/{vehicleId}/off-road-periods', { params: { ...params, query } }),
      ),
    }),
    blackout: infiniteQueryOptions({
      queryKey: keyOf(vehicleId, 'blackout-periods'),
      ...inPages((query) =>
        api.GET('/v1/vehicles/{vehicleId}/blackout-periods', { params: { ...params, query } }),
      ),
    }),
    overrides: infiniteQueryOptions({
      queryKey: keyOf(vehicleId, 'hold-overrides'),
      ...inPages((query) =>
        api.GET('/v1/vehicles/{vehicleId}/hold-overrides', { params: { ...params, query } }),
      ),
    }),
    auditEntries: infiniteQueryOptions({
      queryKey: keyOf(vehicleId, 'audit-entries'),
      ...inPages((query) => api.GET('/v1/audit-entries', { params: { query: { ...query, vehicleId } } })),
    }),
  };
}

/** When and how sure a gas unit falls below its limit. */
export const forecastQuery = (gasUnitId: string) =>
  queryOptions({
    queryKey: ['gas-unit', gasUnitId, 'forecast'],
    queryFn: () =>
      answered(api.GET('/v1/gas-units/{gasUnitId}/forecast', { params: { path: { gasUnitId } } })),
  });

export const dueItemQuery = (dueItemId: string) =>
  queryOptions({
    queryKey: ['due-item', dueItemId],
    queryFn: () => answered(api.GET('/v1/due-items/{dueItemId}', { params: { path: { dueItemId } } })),
  });

export const depotsQuery = queryOptions({
  queryKey: ['depots', 'all'],
  queryFn: () =>
    everyItem((cursor) =>
      answered(api.GET('/v1/depots', { params: { query: { limit: LONGEST_PAGE, ...at(cursor) } } })),
    ),
  staleTime: 300_000,
});

export const fleetsQuery = queryOptions({
  queryKey: ['fleets', 'all'],
  queryFn: () =>
    everyItem((cursor) =>
      answered(api.GET('/v1/fleets', { params: { query: { limit: LONGEST_PAGE, ...at(cursor) } } })),
    ),
  staleTime: 300_000,
});

/** Reads again what is known of a vehicle: almost every write moves what is due on it. */
export function useVehicleChanged(vehicleId: string): () => Promise<void> {
  const queries = useQueryClient();
  return useCallback(async () => {
    // what is due, told with its working, is told anew too
    void queries.invalidateQueries({ queryKey: ['due-item'] });
    void queries.invalidateQueries({ queryKey: ['vehicles'] });
    await queries.invalidateQueries({ queryKey: keyOf(vehicleId) });
  }, [queries, vehicleId]);
}

const at = (cursor: string | undefined) => (cursor === undefined ? {} : { cursor });
