import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { Link } from 'wouter';
import { answered, api, ifMatch, type Schemas } from '../../api/client';
import { DataTable, type Column } from '../../design/data-table';
import { MoreButton } from '../../design/more-button';
import { ProblemNotice } from '../../design/notice';
import { TakeBack } from '../../design/take-back';
import { dayText } from '../../format/days';
import { distanceText } from '../../format/units';
import { useReader } from '../../session/session';
import { depotsQuery } from '../vehicles/vehicle-queries';
import { inWords, positionWords } from '../../format/words';
import { unitQueries, useUnitChanged } from './unit-queries';

type Placement = Schemas['UnitPlacementDto'];

/** Where the unit is and was. */
export function Placements({ gasUnitId, serialNumber }: { gasUnitId: string; serialNumber: string }) {
  const { locale, distanceUnit } = useReader();
  const list = useInfiniteQuery(unitQueries(gasUnitId).placements);
  const { data: depots } = useQuery(depotsQuery);
  const placements = useMemo(() => list.data?.pages.flatMap(({ items }) => items) ?? [], [list.data]);
  const columns = useMemo(
    (): Column<Placement>[] => [
      {
        header: 'Where',
        accessorFn: ({ state }) => state,
        enableSorting: false,
        cell: ({ row: { original } }) => {
          const { state, vehicleId, registrationMark, position, depotId, awayWith } = original;
          if (vehicleId === null)
            return [inWords(state), depots?.find(({ id }) => id === depotId)?.name, awayWith]
              .filter((each) => each !== undefined && each !== null)
              .join(', ');
          return (
            <>
              <Link href={`/vehicles/${vehicleId}`}>{registrationMark}</Link>
              {position === null ? '' : `, ${positionWords(position).toLowerCase()}`}
            </>
          );
        },
      },
      {
        header: 'From',
        accessorKey: 'fromAt',
        sortFn: 'text',
        cell: ({ row: { original } }) => dayText(original.fromAt.slice(0, 10), locale),
      },
      {
        header: 'Until',
        accessorFn: ({ untilAt }) => untilAt ?? '9999',
        sortFn: 'text',
        cell: ({ row: { original } }) =>
          original.untilAt === null ? 'now' : dayText(original.untilAt.slice(0, 10), locale),
      },
      {
        header: 'Distance there',
        enableSorting: false,
        accessorFn: ({ vehicleTotalKmFrom: from, vehicleTotalKmUntil: until }) =>
          from === null || until === null ? '' : distanceText(until - from, distanceUnit, locale),
      },
      { header: 'Note', accessorFn: ({ note }) => note ?? '', enableSorting: false },
      {
        id: 'take-back',
        header: () => <span className="unseen">Take back</span>,
        enableSorting: false,
        // the latest move only
        cell: ({ row: { original } }) =>
          original.untilAt === null ? <TakeMoveBack placement={original} gasUnitId={gasUnitId} /> : null,
      },
    ],
    [depots, distanceUnit, locale, gasUnitId],
  );
  return (
    <section className="stack" aria-labelledby="placements">
      <h2 id="placements">Where it is and was</h2>
      <ProblemNotice error={list.error} />
      <DataTable
        caption={`Where ${serialNumber} is and was`}
        columns={columns}
        rows={placements}
        rowId={({ id }) => id}
        empty={list.isPending ? 'Reading …' : 'Nobody has recorded where it is.'}
      />
      <MoreButton list={list} of="places" />
    </section>
  );
}

function TakeMoveBack({ placement, gasUnitId }: { placement: Placement; gasUnitId: string }) {
  const { locale } = useReader();
  const changed = useUnitChanged(gasUnitId);
  return (
    <TakeBack
      what={`the move of ${dayText(placement.fromAt.slice(0, 10), locale)}`}
      asksWhy={false}
      send={() =>
        answered(
          api.DELETE('/v1/unit-placements/{placementId}', {
            params: { path: { placementId: placement.id }, header: ifMatch(placement) },
          }),
        )
      }
      onDone={changed}
    >
      The unit is where it was before, and what is due follows.
    </TakeBack>
  );
}
