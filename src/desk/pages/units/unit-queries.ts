import { infiniteQueryOptions, queryOptions, useQueryClient } from '@tanstack/react-query';
import { useCallback } from 'react';
import { answered, api, everyItem } from '../../api/client';
import { inPages } from '../../api/in-pages';

const LONGEST_PAGE = 200;

const keyOf = (gasUnitId: string, ...rest: string[]): string[] => ['gas-unit', gasUnitId, ...rest];

/** What is read of one gas unit. */
export function unitQueries(gasUnitId: string) {
  const params = { path: { gasUnitId } };
  return {
    unit: queryOptions({
      queryKey: keyOf(gasUnitId, 'record'),
      queryFn: () => answered(api.GET('/v1/gas-units/{gasUnitId}', { params })),
    }),
    forecast: queryOptions({
      queryKey: keyOf(gasUnitId, 'forecast'),
      queryFn: () => answered(api.GET('/v1/gas-units/{gasUnitId}/forecast', { params })),
    }),
    events: infiniteQueryOptions({
      queryKey: keyOf(gasUnitId, 'events'),
      ...inPages((query) =>
        api.GET('/v1/gas-units/{gasUnitId}/events', {
          params: { ...params, query: { ...query, includeVoided: true } },
        }),
      ),
    }),
    placements: infiniteQueryOptions({
      queryKey: keyOf(gasUnitId, 'placements'),
      ...inPages((query) =>
        api.GET('/v1/gas-units/{gasUnitId}/placements', { params: { ...params, query } }),
      ),
    }),
  };
}

export const unitTypeQuery = (gasUnitTypeId: string) =>
  queryOptions({
    queryKey: ['gas-unit-type', gasUnitTypeId],
    queryFn: () =>
      answered(api.GET('/v1/gas-unit-types/{gasUnitTypeId}', { params: { path: { gasUnitTypeId } } })),
    staleTime: 300_000,
  });

/** The vehicle with exactly this registration mark, however it is spaced; null where there is none. */
export const vehicleByMark = (mark: string) =>
  queryOptions({
    queryKey: ['vehicle-by-mark', bare(mark)],
    queryFn: async () => {
      const query = { search: bare(mark).slice(0, 40), limit: LONGEST_PAGE };
      const { items } = await answered(api.GET('/v1/vehicles', { params: { query } }));
      return items.find(({ registrationMark }) => bare(registrationMark) === bare(mark)) ?? null;
    },
  });

const bare = (mark: string): string => mark.replace(/\s+/g, '').toUpperCase();

export const gaugesQuery = queryOptions({
  queryKey: ['gauges', 'all'],
  queryFn: () =>
    everyItem((cursor) =>
      answered(
        api.GET('/v1/gauges', {
          params: { query: { limit: LONGEST_PAGE, ...(cursor === undefined ? {} : { cursor }) } },
        }),
      ),
    ),
  staleTime: 300_000,
});

/** Reads again what a test or charge moves: the unit, and what is due on the vehicle that it is fitted to. */
export function useUnitChanged(gasUnitId: string): () => Promise<void> {
  const queries = useQueryClient();
  return useCallback(async () => {
    void queries.invalidateQueries({ queryKey: ['vehicle'] });
    void queries.invalidateQueries({ queryKey: ['vehicles'] });
    void queries.invalidateQueries({ queryKey: ['due-item'] });
    await queries.invalidateQueries({ queryKey: keyOf(gasUnitId) });
  }, [queries, gasUnitId]);
}
