import { useInfiniteQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { answered, api } from '../../../api/client';
import { Button } from '../../../design/button';
import { ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';
import { faultFinder } from '../parts/faults';
import { Part } from '../parts/part';
import { EntryShown } from './entry-shown';
import { AuditFilters, NO_FILTERS, queryOf, type FilterValues } from './audit-filters';

/** What was done, newest first, narrowed by who, what, when and vehicle. */
export function EntriesPart() {
  const [filters, setFilters] = useState<FilterValues>(NO_FILTERS);
  const [vehicleId, setVehicleId] = useState<string | null>(null);
  const query = queryOf(filters, vehicleId);
  const entries = useInfiniteQuery({
    queryKey: ['administration', 'audit-entries', query],
    queryFn: ({ pageParam }) =>
      answered(
        api.GET('/v1/audit-entries', {
          params: { query: { limit: 50, ...query, ...(pageParam === null ? {} : { cursor: pageParam }) } },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
    placeholderData: (before) => before,
  });
  const rows = entries.data?.pages.flatMap(({ items }) => items) ?? [];
  return (
    <Part title="Entries">
      <AuditFilters
        filters={filters}
        busy={entries.isFetching}
        faultAt={faultFinder(entries.error)}
        onSearch={(wanted, vehicle) => {
          setFilters(wanted);
          setVehicleId(vehicle);
        }}
      />
      <ProblemNotice error={entries.error} />
      {entries.isPending ? <Waiting what="the entries" /> : null}
      {entries.isSuccess && rows.length === 0 ? <p className="soft">No entry fits.</p> : null}
      {rows.map((entry) => (
        <EntryShown key={entry.id} entry={entry} />
      ))}
      {entries.hasNextPage ? (
        <div className="row">
          <Button busy={entries.isFetchingNextPage} onClick={() => void entries.fetchNextPage()}>
            Show older ones
          </Button>
        </div>
      ) : null}
    </Part>
  );
}
