import { useInfiniteQuery } from '@tanstack/react-query';
import { useMemo, type ReactNode } from 'react';
import { Link } from 'wouter';
import { answered, api, ifMatch, type Schemas } from '../../../api/client';
import { DataTable, type Column } from '../../../design/data-table';
import { MoreButton } from '../../../design/more-button';
import { ProblemNotice } from '../../../design/notice';
import { StateMark, type Tone } from '../../../design/state-mark';
import { TakeBack } from '../../../design/take-back';
import { dayText, momentText } from '../../../format/days';
import { numberText } from '../../../format/units';
import { useReader } from '../../../session/session';
import type { VehiclePartProps } from '../vehicle-part-props';
import { useVehicleChanged, vehicleQueries } from '../vehicle-queries';
import { inWords, positionWords } from '../../../format/words';

type Completion = Schemas['TaskCompletionDto'];
type SystemTest = Schemas['SystemTestDto'];
type Placement = Schemas['UnitPlacementDto'];

const OUTCOME_TONES: Record<SystemTest['outcome'] | Completion['outcome'], Tone> = {
  done: 'good',
  passed: 'good',
  failed: 'bad',
  inconclusive: 'unknown',
};

/** What was done to the vehicle, what was measured on it, and which gas units it has had. */
export default function HistoryPart({ vehicle, zone }: VehiclePartProps) {
  const { locale } = useReader();
  const of = vehicleQueries(vehicle.id);
  const completions = useInfiniteQuery(of.completions);
  const tests = useInfiniteQuery(of.systemTests);
  const placements = useInfiniteQuery(of.placements);
  const changed = useVehicleChanged(vehicle.id);
  const completionColumns = useMemo(
    (): Column<Completion>[] => [
      {
        header: 'Done',
        accessorKey: 'doneOn',
        sortFn: 'text',
        cell: ({ row: { original } }) => dayText(original.doneOn, locale),
      },
      {
        header: 'Work',
        accessorFn: ({ task, position }) =>
          `${inWords(task)}${position === null ? '' : `, ${positionWords(position).toLowerCase()}`}`,
        sortFn: 'text',
      },
      {
        header: 'Outcome',
        accessorKey: 'outcome',
        sortFn: 'text',
        cell: ({ row: { original } }) => <Outcome of={original} />,
      },
      {
        header: 'Odometer',
        accessorFn: ({ odometerValue, odometerUnit }) =>
          odometerValue === null ? '' : `${numberText(odometerValue, locale, 0)} ${odometerUnit ?? ''}`,
        enableSorting: false,
      },
      { header: 'By', accessorFn: ({ doneBy }) => doneBy ?? '', sortFn: 'text' },
      { header: 'Note', accessorFn: ({ note }) => note ?? '', enableSorting: false },
      takeBackColumn(({ original }) => (
        <TakeBack
          what={`${inWords(original.task)} of ${dayText(original.doneOn, locale)}`}
          send={(reason) =>
            answered(
              api.POST('/v1/task-completions/{completionId}/void', {
                params: { path: { completionId: original.id }, header: ifMatch(original) },
                body: { reason },
              }),
            )
          }
          onDone={changed}
        >
          {STAYS}
        </TakeBack>
      )),
    ],
    [locale, changed],
  );
  const testColumns = useMemo(
    (): Column<SystemTest>[] => [
      {
        header: 'Done',
        accessorKey: 'doneAt',
        sortFn: 'text',
        cell: ({ row: { original } }) => momentText(original.doneAt, zone, locale),
      },
      { header: 'Test', accessorFn: ({ task }) => inWords(task), sortFn: 'text' },
      {
        header: 'Outcome',
        accessorKey: 'outcome',
        sortFn: 'text',
        cell: ({ row: { original } }) => <Outcome of={original} />,
      },
      { header: 'Why', accessorFn: ({ outcomeReasons }) => outcomeReasons.join(' '), enableSorting: false },
      { header: 'By', accessorKey: 'doneBy', sortFn: 'text' },
      takeBackColumn(({ original }) => (
        <TakeBack
          what={`${inWords(original.task)} of ${momentText(original.doneAt, zone, locale)}`}
          send={(reason) =>
            answered(
              api.POST('/v1/system-tests/{systemTestId}/void', {
                params: { path: { systemTestId: original.id }, header: ifMatch(original) },
                body: { reason },
              }),
            )
          }
          onDone={changed}
        >
          {STAYS}
        </TakeBack>
      )),
    ],
    [locale, zone, changed],
  );
  const placementColumns = useMemo(
    (): Column<Placement>[] => [
      {
        header: 'Unit',
        accessorKey: 'serialNumber',
        sortFn: 'text',
        cell: ({ row: { original } }) => (
          <Link href={`/units/${original.gasUnitId}`}>{original.serialNumber}</Link>
        ),
      },
      {
        header: 'Where',
        accessorFn: ({ position }) => (position === null ? '' : positionWords(position)),
        sortFn: 'text',
      },
      {
        header: 'From',
        accessorKey: 'fromAt',
        sortFn: 'text',
        cell: ({ row: { original } }) => momentText(original.fromAt, zone, locale),
      },
      {
        header: 'Until',
        accessorFn: ({ untilAt }) => untilAt ?? '9999',
        sortFn: 'text',
        cell: ({ row: { original } }) =>
          original.untilAt === null ? 'now' : momentText(original.untilAt, zone, locale),
      },
    ],
    [locale, zone],
  );
  const done = useMemo(() => completions.data?.pages.flatMap(({ items }) => items) ?? [], [completions.data]);
  const measured = useMemo(() => tests.data?.pages.flatMap(({ items }) => items) ?? [], [tests.data]);
  const fitted = useMemo(() => placements.data?.pages.flatMap(({ items }) => items) ?? [], [placements.data]);
  return (
    <section className="stack" aria-labelledby="history">
      <h2 id="history">Service history</h2>
      <ProblemNotice error={completions.error ?? tests.error ?? placements.error} />
      <h3>Work done</h3>
      <DataTable
        caption={`Work done on ${vehicle.registrationMark}`}
        columns={completionColumns}
        rows={done}
        rowId={({ id }) => id}
        empty={completions.isPending ? 'Reading …' : 'No work is on record.'}
      />
      <MoreButton list={completions} of="work" />
      <h3>Tests of the fluid system</h3>
      <DataTable
        caption={`Tests of the fluid system of ${vehicle.registrationMark}`}
        columns={testColumns}
        rows={measured}
        rowId={({ id }) => id}
        empty={tests.isPending ? 'Reading …' : 'No test with figures is on record.'}
      />
      <MoreButton list={tests} of="tests" />
      <h3>Gas units fitted</h3>
      <DataTable
        caption={`Gas units fitted to ${vehicle.registrationMark}`}
        columns={placementColumns}
        rows={fitted}
        rowId={({ id }) => id}
        empty={placements.isPending ? 'Reading …' : 'No gas unit is on record.'}
      />
      <MoreButton list={placements} of="gas units" />
    </section>
  );
}

const STAYS = 'It stays on file and counts no more; what is due, and whether it is on hold, follow.';

function takeBackColumn<Row extends { voidedAt: string | null }>(
  drawn: (row: { original: Row }) => ReactNode,
): Column<Row> {
  return {
    id: 'take-back',
    header: () => <span className="unseen">Take back</span>,
    enableSorting: false,
    cell: ({ row }) => (row.original.voidedAt === null ? drawn(row) : null),
  };
}

function Outcome({
  of: { outcome, voidedAt },
}: {
  of: Pick<Completion | SystemTest, 'outcome' | 'voidedAt'>;
}) {
  if (voidedAt !== null) return <StateMark tone="unknown">Taken back</StateMark>;
  return <StateMark tone={OUTCOME_TONES[outcome]}>{inWords(outcome)}</StateMark>;
}
