import { queryOptions } from '@tanstack/react-query';
import { answered, api, everyItem } from '../../api/client';

/** Which vehicles are on hold, and how many items are overdue on each that has any. */
export interface VehicleConditions {
  held: ReadonlySet<string>;
  overdue: ReadonlyMap<string, number>;
}

const LONGEST_PAGE = 200;

export const conditionsQuery = queryOptions({
  queryKey: ['vehicles', 'conditions'],
  queryFn: async (): Promise<VehicleConditions> => {
    const [held, overdue] = await Promise.all([
      everyItem((cursor) => answered(api.GET('/v1/holds', { params: { query: page(cursor) } }))),
      everyItem((cursor) =>
        answered(api.GET('/v1/due-items', { params: { query: { ...page(cursor), state: ['overdue'] } } })),
      ),
    ]);
    const counts = new Map<string, number>();
    for (const { vehicleId } of overdue) counts.set(vehicleId, (counts.get(vehicleId) ?? 0) + 1);
    return { held: new Set(held.map(({ vehicleId }) => vehicleId)), overdue: counts };
  },
  staleTime: 60_000,
});

const page = (cursor: string | undefined) => ({
  limit: LONGEST_PAGE,
  ...(cursor === undefined ? {} : { cursor }),
});
