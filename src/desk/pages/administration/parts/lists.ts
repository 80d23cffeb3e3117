import { useQuery, useQueryClient, type UseQueryResult } from '@tanstack/react-query';
import { answered, api, everyItem } from '../../../api/client';

// Each list is read whole: administrators have dozens of them, not thousands.
const limit = 500;

interface ListPage<Item> {
  items: Item[];
  next: string | null;
}

/** A whole list, kept under its address. */
export function useWholeList<Item>(
  address: readonly string[],
  page: (query: { limit: number; cursor?: string }) => Promise<ListPage<Item>>,
  enabled = true,
): UseQueryResult<Item[]> {
  return useQuery({
    queryKey: ['administration', ...address],
    queryFn: () => everyItem((cursor) => page(cursor === undefined ? { limit } : { limit, cursor })),
    enabled,
  });
}

/** Has lists read again whose address begins like this. */
export function useReadAgain(): (...address: string[]) => void {
  const queries = useQueryClient();
  return (...address) => void queries.invalidateQueries({ queryKey: ['administration', ...address] });
}

export const useFleets = () =>
  useWholeList(['fleets'], (query) => answered(api.GET('/v1/fleets', { params: { query } })));

export const useDepots = () =>
  useWholeList(['depots'], (query) => answered(api.GET('/v1/depots', { params: { query } })));

export const useWorkshops = () =>
  useWholeList(['workshops'], (query) =>
    answered(api.GET('/v1/workshops', { params: { query: { ...query, includeRetired: true } } })),
  );

export const useBays = (workshopId: string) =>
  useWholeList(['workshops', workshopId, 'bays'], (query) =>
    answered(
      api.GET('/v1/workshops/{workshopId}/bays', {
        params: { path: { workshopId }, query: { ...query, includeRetired: true } },
      }),
    ),
  );

export const useTechnicians = (workshopId: string) =>
  useWholeList(
    ['workshops', workshopId, 'technicians'],
    (query) =>
      answered(
        api.GET('/v1/workshops/{workshopId}/technicians', {
          params: { path: { workshopId }, query: { ...query, includeRetired: true } },
        }),
      ),
    workshopId !== '',
  );

export const useProgrammes = () =>
  useWholeList(['programmes'], (query) => answered(api.GET('/v1/service-programmes', { params: { query } })));

export const useUnitTypes = () =>
  useWholeList(['unit-types'], (query) => answered(api.GET('/v1/gas-unit-types', { params: { query } })));

export const usePositions = () =>
  useWholeList(['positions'], (query) => answered(api.GET('/v1/unit-positions', { params: { query } })));

/** What a list of records offers to choose from. */
export const choicesOf = (records: readonly { id: string; name: string }[] | undefined) =>
  (records ?? []).map(({ id, name }) => ({ value: id, name }));
