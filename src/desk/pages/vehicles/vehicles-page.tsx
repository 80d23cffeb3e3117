import { keepPreviousData, useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useDeferredValue, useMemo } from 'react';
import { Link, useSearchParams } from 'wouter';
import { answered, api, type Schemas } from '../../api/client';
import { DataTable, type Column } from '../../design/data-table';
import { CheckField, SelectField, TextField } from '../../design/field';
import { MoreButton } from '../../design/more-button';
import { ProblemNotice } from '../../design/notice';
import { Page } from '../../design/page';
import { StateMark } from '../../design/state-mark';
import { conditionsQuery, type VehicleConditions } from './conditions';
import { depotsQuery, fleetsQuery, type Vehicle } from './vehicle-queries';
import styles from './vehicles-page.module.css';

interface Filter {
  search?: string;
  fleetId?: string;
  depotId?: string;
  onHold?: true;
  overdue?: true;
}

const PAGE = 50;

/** All vehicles that somebody may see, found by what is written on them. The address keeps what was asked for. */
export default function VehiclesPage() {
  const [search, setSearch] = useSearchParams();
  const filter = useDeferredValue(filterOf(search));
  const { data: depots = [] } = useQuery(depotsQuery);
  const { data: fleets = [] } = useQuery(fleetsQuery);
  const { data: conditions } = useQuery(conditionsQuery);
  const list = useInfiniteQuery({
    queryKey: ['vehicles', 'list', filter],
    queryFn: ({ pageParam: cursor }) =>
      answered(
        api.GET('/v1/vehicles', {
          params: { query: { ...filter, limit: PAGE, ...(cursor === null ? {} : { cursor }) } },
        }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
    placeholderData: keepPreviousData,
  });
  const vehicles = useMemo(() => list.data?.pages.flatMap(({ items }) => items) ?? [], [list.data]);
  const columns = useMemo(() => columnsFor(depots, conditions), [depots, conditions]);
  const ask = (name: keyof Filter, value: string): void =>
    setSearch(
      (asked) => {
        if (value === '') asked.delete(name);
        else asked.set(name, value);
        return asked;
      },
      { replace: true },
    );

  return (
    <Page title="Vehicles">
      <form
        role="search"
        className={`screen-only ${styles.filter}`}
        onSubmit={(event) => event.preventDefault()}
      >
        <TextField
          label="Find"
          hint="Part of the mark, the fleet number or the VIN"
          type="search"
          maxLength={40}
          value={search.get('search') ?? ''}
          onChange={({ target }) => ask('search', target.value)}
        />
        {fleets.length > 1 ? (
          <SelectField
            label="Fleet"
            value={search.get('fleetId') ?? ''}
            onChange={({ target }) => ask('fleetId', target.value)}
          >
            <Options of={fleets} all="All fleets" />
          </SelectField>
        ) : null}
        <SelectField
          label="Depot"
          value={search.get('depotId') ?? ''}
          onChange={({ target }) => ask('depotId', target.value)}
        >
          <Options of={depots} all="All depots" />
        </SelectField>
        <CheckField
          label="On hold"
          checked={search.get('onHold') === 'true'}
          onChange={({ target }) => ask('onHold', target.checked ? 'true' : '')}
        />
        <CheckField
          label="Overdue"
          checked={search.get('overdue') === 'true'}
          onChange={({ target }) => ask('overdue', target.checked ? 'true' : '')}
        />
      </form>
      <ProblemNotice error={list.error} />
      <p role="status" className="small soft">
        {list.isPending
          ? 'Reading the vehicles …'
          : `${vehicles.length}${list.hasNextPage ? ' or more' : ''} ${vehicles.length === 1 ? 'vehicle' : 'vehicles'}`}
      </p>
      <DataTable
        caption="Vehicles"
        columns={columns}
        rows={vehicles}
        rowId={({ id }) => id}
        empty={list.isPending ? '' : 'No vehicle fits. Take a filter away, or look for fewer letters.'}
      />
      <MoreButton list={list} of="vehicles" />
    </Page>
  );
}

function Options({ of, all }: { of: readonly { id: string; name: string }[]; all: string }) {
  return (
    <>
      <option value="">{all}</option>
      {of.map(({ id, name }) => (
        <option key={id} value={id}>
          {name}
        </option>
      ))}
    </>
  );
}

function filterOf(asked: URLSearchParams): Filter {
  const text = (name: 'search' | 'fleetId' | 'depotId') => {
    const value = asked.get(name)?.trim() ?? '';
    return value === '' ? {} : { [name]: value };
  };
  const flag = (name: 'onHold' | 'overdue') => (asked.get(name) === 'true' ? { [name]: true as const } : {});
  return { ...text('search'), ...text('fleetId'), ...text('depotId'), ...flag('onHold'), ...flag('overdue') };
}

function columnsFor(
  depots: readonly Schemas['DepotDto'][],
  conditions: VehicleConditions | undefined,
): Column<Vehicle>[] {
  const depotOf = ({ depotId }: Vehicle): string => depots.find(({ id }) => id === depotId)?.name ?? '';
  return [
    {
      header: 'Mark',
      accessorKey: 'registrationMark',
      sortFn: 'alphanumeric',
      cell: ({ row: { original } }) => (
        <Link href={`/vehicles/${original.id}`} className={styles.mark}>
          {original.registrationMark}
        </Link>
      ),
    },
    { header: 'Fleet number', accessorFn: ({ fleetNumber }) => fleetNumber ?? '', sortFn: 'alphanumeric' },
    { header: 'Depot', accessorFn: depotOf, sortFn: 'text' },
    {
      header: 'Road',
      accessorFn: ({ id }) => (conditions?.held.has(id) === true ? 0 : 1),
      sortFn: 'basic',
      cell: ({ row: { original } }) => {
        if (conditions === undefined) return <span className="soft">…</span>;
        return conditions.held.has(original.id) ? (
          <StateMark tone="bad">On hold</StateMark>
        ) : (
          <StateMark tone="good">Not on hold</StateMark>
        );
      },
    },
    {
      header: 'Overdue',
      accessorFn: ({ id }) => conditions?.overdue.get(id) ?? 0,
      sortFn: 'basic',
      cell: ({ row: { original } }) => {
        const items = conditions?.overdue.get(original.id) ?? 0;
        return items === 0 ? (
          ''
        ) : (
          <StateMark tone="bad">
            {items} {items === 1 ? 'item' : 'items'}
          </StateMark>
        );
      },
    },
    {
      header: 'VIN',
      accessorFn: ({ vin }) => vin ?? '',
      sortFn: 'text',
      cell: ({ row: { original } }) => <span className="digits">{original.vin}</span>,
    },
  ];
}
