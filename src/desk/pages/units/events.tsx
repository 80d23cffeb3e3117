import { useInfiniteQuery } from '@tanstack/react-query';
import { lazy, Suspense, useMemo } from 'react';
import { Link } from 'wouter';
import { answered, api, ifMatch, type Schemas } from '../../api/client';
import { DataTable, type Column } from '../../design/data-table';
import { MoreButton } from '../../design/more-button';
import { ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { StateMark, type Tone } from '../../design/state-mark';
import { TakeBack } from '../../design/take-back';
import { momentText } from '../../format/days';
import { numberText, pressureText } from '../../format/units';
import { useHasRole, useReader, type Reader } from '../../session/session';
import { inWords, positionWords } from '../../format/words';
import type { Forecast } from './outlook-words';
import { trendOption } from './trend-chart';
import { unitQueries, useUnitChanged } from './unit-queries';

const Chart = lazy(() => import('../../design/chart'));

type Event = Schemas['GasUnitEventDto'];

const TONES: Record<Event['outcome'], Tone> = { passed: 'good', failed: 'bad', inconclusive: 'unknown' };

interface EventsProps {
  gasUnitId: string;
  serialNumber: string;
  forecast: Forecast | undefined;
}

/** What was measured on the unit: as a trend, and as a table that says the same. */
export function Events({ gasUnitId, serialNumber, forecast }: EventsProps) {
  const reader = useReader();
  const list = useInfiniteQuery(unitQueries(gasUnitId).events);
  const events = useMemo(() => list.data?.pages.flatMap(({ items }) => items) ?? [], [list.data]);
  const option = useMemo(
    () =>
      forecast === undefined || forecast.observations.length === 0
        ? undefined
        : trendOption(forecast, reader),
    [forecast, reader],
  );
  const zone = forecast?.zone ?? 'UTC';
  const mayTakeBack = useHasRole('fleet-planner', 'front-desk', 'administrator');
  const columns = useMemo(
    () => [
      ...columnsFor(reader, zone, forecast),
      ...(mayTakeBack ? [takeBackColumn(gasUnitId, zone, reader.locale)] : []),
    ],
    [reader, zone, forecast, mayTakeBack, gasUnitId],
  );
  return (
    <section className="stack" aria-labelledby="measured">
      <h2 id="measured">Tests and charges</h2>
      {option === undefined ? null : (
        <Suspense fallback={<Waiting what="the trend" />}>
          <Chart
            label={`Trend of the precharge of ${serialNumber}: tests, charges and forecast with its limit`}
            option={option}
          />
          <p className="small soft">
            The shaded band holds the precharge 8 times in 10. The table below says what the trend is made of.
          </p>
        </Suspense>
      )}
      <ProblemNotice error={list.error} />
      <DataTable
        caption={`Tests and charges of ${serialNumber}`}
        columns={columns}
        rows={events}
        rowId={({ id }) => id}
        empty={list.isPending ? 'Reading …' : 'Nothing has been measured yet.'}
      />
      <MoreButton list={list} of="tests and charges" />
    </section>
  );
}

function columnsFor(
  { locale, pressureUnit }: Reader,
  zone: string,
  forecast: Forecast | undefined,
): Column<Event>[] {
  const leftOut = new Map(forecast?.observations.map((each) => [each.eventId, each.leftOutReason]));
  return [
    {
      header: 'Done',
      accessorKey: 'doneAt',
      sortFn: 'text',
      cell: ({ row: { original } }) => momentText(original.doneAt, zone, locale),
    },
    { header: 'What', accessorFn: ({ kind }) => inWords(kind), sortFn: 'text' },
    {
      header: 'At 20 °C',
      accessorKey: 'precharge20BarGauge',
      sortFn: 'basic',
      cell: ({ row: { original } }) => (
        <>
          {pressureText(original.precharge20BarGauge, pressureUnit, locale)}
          <br />
          <span className="small soft">
            {numberText(original.shareOfNominal * 100, locale, 0)} % of nominal
          </span>
        </>
      ),
    },
    {
      header: 'Gauge and gas',
      accessorKey: 'pressureBarGauge',
      sortFn: 'basic',
      cell: ({ row: { original } }) =>
        `${pressureText(original.pressureBarGauge, pressureUnit, locale)} at ${numberText(original.gasTemperatureC, locale, 1)} °C`,
    },
    {
      header: 'Outcome',
      accessorKey: 'outcome',
      sortFn: 'text',
      cell: ({ row: { original } }) => {
        const { outcome, voidedAt, voidReason, gaugeOverdue, id } = original;
        const reason = leftOut.get(id) ?? null;
        return (
          <>
            {voidedAt === null ? (
              <StateMark tone={TONES[outcome]}>{inWords(outcome)}</StateMark>
            ) : (
              <StateMark tone="unknown">Taken back: {voidReason}</StateMark>
            )}
            {gaugeOverdue === true ? <Small>The gauge&apos;s calibration was overdue.</Small> : null}
            {reason === null ? null : <Small>Left out of the trend: {reason}</Small>}
          </>
        );
      },
    },
    {
      header: 'Where',
      accessorFn: ({ position }) => (position === null ? 'On the bench' : positionWords(position)),
      sortFn: 'text',
      cell: ({ row: { original } }) => {
        const where = original.position === null ? 'On the bench' : positionWords(original.position);
        return original.vehicleId === null ? (
          where
        ) : (
          <Link href={`/vehicles/${original.vehicleId}`}>{where}</Link>
        );
      },
    },
    { header: 'By', accessorKey: 'doneBy', sortFn: 'text' },
  ];
}

function takeBackColumn(gasUnitId: string, zone: string, locale: string): Column<Event> {
  return {
    id: 'take-back',
    header: () => <span className="unseen">Take back</span>,
    enableSorting: false,
    cell: ({ row: { original } }) =>
      original.voidedAt === null ? <TakeEventBack {...{ gasUnitId, zone, locale }} event={original} /> : null,
  };
}

interface TakeEventBackProps {
  gasUnitId: string;
  zone: string;
  locale: string;
  event: Event;
}

function TakeEventBack({ gasUnitId, zone, locale, event }: TakeEventBackProps) {
  const changed = useUnitChanged(gasUnitId);
  const kind = event.kind === 'charge' ? 'charge' : 'precharge test';
  return (
    <TakeBack
      what={`the ${kind} of ${momentText(event.doneAt, zone, locale)}`}
      send={(reason) =>
        answered(
          api.POST('/v1/gas-unit-events/{eventId}/void', {
            params: { path: { eventId: event.id }, header: ifMatch(event) },
            body: { reason },
          }),
        )
      }
      onDone={changed}
    >
      It stays on file and counts no more; what is due follows.
    </TakeBack>
  );
}

function Small({ children }: { children: React.ReactNode }) {
  return (
    <span className="small soft">
      <br />
      {children}
    </span>
  );
}
