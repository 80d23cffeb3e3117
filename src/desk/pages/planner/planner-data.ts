import { queryOptions } from '@tanstack/react-query';
import { answered, api, everyItem, type Schemas } from '../../api/client';

// What the pages of the planner read. Whole lists are read to their end: they are counted and compared here.

const LONGEST_PAGE = 500;
/** names change rarely */
const NAMES_FRESH_MS = 300_000;

export const fleets = queryOptions({
  queryKey: ['fleets'],
  staleTime: NAMES_FRESH_MS,
  queryFn: () =>
    everyItem((cursor) =>
      answered(api.GET('/v1/fleets', { params: { query: { cursor, limit: LONGEST_PAGE } } })),
    ),
});

export const depots = queryOptions({
  queryKey: ['depots'],
  staleTime: NAMES_FRESH_MS,
  queryFn: () =>
    everyItem((cursor) =>
      answered(api.GET('/v1/depots', { params: { query: { cursor, limit: LONGEST_PAGE } } })),
    ),
});

export const workshops = queryOptions({
  queryKey: ['workshops'],
  staleTime: NAMES_FRESH_MS,
  queryFn: () =>
    everyItem((cursor) =>
      answered(api.GET('/v1/workshops', { params: { query: { cursor, limit: LONGEST_PAGE } } })),
    ),
});

export const baysOf = (workshopId: string) =>
  queryOptions({
    queryKey: ['workshops', workshopId, 'bays'],
    staleTime: NAMES_FRESH_MS,
    enabled: workshopId !== '',
    queryFn: () =>
      everyItem((cursor) =>
        answered(
          api.GET('/v1/workshops/{workshopId}/bays', {
            params: { path: { workshopId }, query: { cursor, limit: LONGEST_PAGE } },
          }),
        ),
      ),
  });

export const techniciansOf = (workshopId: string) =>
  queryOptions({
    queryKey: ['workshops', workshopId, 'technicians'],
    staleTime: NAMES_FRESH_MS,
    enabled: workshopId !== '',
    queryFn: () =>
      everyItem((cursor) =>
        answered(
          api.GET('/v1/workshops/{workshopId}/technicians', {
            params: { path: { workshopId }, query: { cursor, limit: LONGEST_PAGE } },
          }),
        ),
      ),
  });

export interface DueFilter {
  fleetId?: string;
  safetyCritical?: boolean;
  dueUntil: string;
}

export const dueItems = (filter: DueFilter) =>
  queryOptions({
    queryKey: ['due-items', filter],
    queryFn: () =>
      everyItem((cursor) =>
        answered(api.GET('/v1/due-items', { params: { query: { ...filter, cursor, limit: LONGEST_PAGE } } })),
      ),
  });

export const explainedDueItem = (dueItemId: string) =>
  queryOptions({
    queryKey: ['due-items', dueItemId],
    queryFn: () => answered(api.GET('/v1/due-items/{dueItemId}', { params: { path: { dueItemId } } })),
  });

export const depotDays = (query: { fleetId?: string; from?: string; days: number }) =>
  queryOptions({
    queryKey: ['depot-availability', query],
    queryFn: () => answered(api.GET('/v1/depot-availability', { params: { query } })),
  });

export const plans = queryOptions({
  queryKey: ['downtime-plans'],
  queryFn: () =>
    everyItem((cursor) =>
      answered(api.GET('/v1/downtime-plans', { params: { query: { cursor, limit: LONGEST_PAGE } } })),
    ),
});

export const plan = (downtimePlanId: string) =>
  queryOptions({
    queryKey: ['downtime-plans', downtimePlanId],
    queryFn: () =>
      answered(api.GET('/v1/downtime-plans/{downtimePlanId}', { params: { path: { downtimePlanId } } })),
  });

export const progress = (downtimePlanId: string) =>
  queryOptions({
    queryKey: ['downtime-plans', downtimePlanId, 'progress'],
    queryFn: () =>
      answered(
        api.GET('/v1/downtime-plans/{downtimePlanId}/progress', { params: { path: { downtimePlanId } } }),
      ),
  });

export const plannedVisits = (downtimePlanId: string) =>
  queryOptions({
    queryKey: ['downtime-plans', downtimePlanId, 'visits'],
    queryFn: () =>
      everyItem((cursor) =>
        answered(
          api.GET('/v1/downtime-plans/{downtimePlanId}/visits', {
            params: { path: { downtimePlanId }, query: { cursor, limit: LONGEST_PAGE } },
          }),
        ),
      ),
  });

export const leftOutItems = (downtimePlanId: string) =>
  queryOptions({
    queryKey: ['downtime-plans', downtimePlanId, 'left-out'],
    queryFn: () =>
      everyItem((cursor) =>
        answered(
          api.GET('/v1/downtime-plans/{downtimePlanId}/items', {
            params: { path: { downtimePlanId }, query: { reason: 'left-out', cursor, limit: LONGEST_PAGE } },
          }),
        ),
      ),
  });

export const planViews = (downtimePlanId: string) =>
  queryOptions({
    queryKey: ['downtime-plans', downtimePlanId, 'views'],
    queryFn: () =>
      answered(
        api.GET('/v1/downtime-plans/{downtimePlanId}/views', { params: { path: { downtimePlanId } } }),
      ),
  });

export const comparison = (downtimePlanId: string, withId: string) =>
  queryOptions({
    queryKey: ['downtime-plans', downtimePlanId, 'comparison', withId],
    queryFn: () =>
      answered(
        api.GET('/v1/downtime-plans/{downtimePlanId}/comparison', {
          params: { path: { downtimePlanId }, query: { withId } },
        }),
      ),
  });

export const demand = (query: { fleetId?: string; depotId?: string; months: number }) =>
  queryOptions({
    queryKey: ['demand', query],
    queryFn: () => answered(api.GET('/v1/demand', { params: { query } })),
  });

export const planningSettings = queryOptions({
  queryKey: ['planning-settings'],
  queryFn: () => answered(api.GET('/v1/planning-settings')),
});

export const roster = (depotId: string) =>
  queryOptions({
    queryKey: ['depots', depotId, 'roster'],
    queryFn: () => answered(api.GET('/v1/depots/{depotId}/roster', { params: { path: { depotId } } })),
  });

export const workshopReach = (depotId: string) =>
  queryOptions({
    queryKey: ['depots', depotId, 'workshop-reach'],
    queryFn: () =>
      answered(api.GET('/v1/depots/{depotId}/workshop-reach', { params: { path: { depotId } } })),
  });

export const vehicles = queryOptions({
  queryKey: ['vehicles', 'all'],
  staleTime: NAMES_FRESH_MS,
  queryFn: () =>
    everyItem((cursor) =>
      answered(api.GET('/v1/vehicles', { params: { query: { cursor, limit: LONGEST_PAGE } } })),
    ),
});

export const blackoutsOf = (vehicleId: string) =>
  queryOptions({
    queryKey: ['vehicles', vehicleId, 'blackout-periods'],
    enabled: vehicleId !== '',
    queryFn: () =>
      everyItem((cursor) =>
        answered(
          api.GET('/v1/vehicles/{vehicleId}/blackout-periods', {
            params: { path: { vehicleId }, query: { cursor, limit: LONGEST_PAGE } },
          }),
        ),
      ),
  });

/** Starts a plan. What is left out is taken from the plan that it is based on. */
export const startPlan = (body: Schemas['CreateDowntimePlanDto']): Promise<Schemas['DowntimePlanDto']> =>
  answered(api.POST('/v1/downtime-plans', { body }));
