import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { lazy, Suspense, useMemo } from 'react';
import { DataTable, type Column } from '../../../design/data-table';
import { MoreButton } from '../../../design/more-button';
import { Notice, ProblemNotice } from '../../../design/notice';
import { Waiting } from '../../../design/page';
import { StateMark, type Tone } from '../../../design/state-mark';
import type { Schemas } from '../../../api/client';
import { momentText } from '../../../format/days';
import { numberText } from '../../../format/units';
import { useReader } from '../../../session/session';
import type { VehiclePartProps } from '../vehicle-part-props';
import { vehicleQueries } from '../vehicle-queries';
import { inWords } from '../../../format/words';
import { useTold } from '../../../session/use-told';
import { AddReading } from './add-reading';
import { distanceOption, usageInWords } from './distance-chart';
import { ReplaceInstrument } from './replace-instrument';
import { QuarantinedReading } from './quarantined-reading';

const Chart = lazy(() => import('../../../design/chart'));

type Reading = Schemas['OdometerReadingDto'];

const TONES: Record<Reading['state'], Tone> = { accepted: 'good', quarantined: 'warn', rejected: 'unknown' };
const STATES: Record<Reading['state'], string> = {
  accepted: 'Counts',
  quarantined: 'Waiting for a decision',
  rejected: 'Rejected',
};

/** How far the vehicle has run and will run, and the readings that this rests on. */
export default function DistancePart({ vehicle, zone }: VehiclePartProps) {
  const reader = useReader();
  const told = useTold();
  const of = vehicleQueries(vehicle.id);
  const { data: usage, error } = useQuery(of.usage);
  const { data: waiting = [] } = useQuery(of.quarantined);
  const list = useInfiniteQuery(of.readings);
  const readings = useMemo(() => list.data?.pages.flatMap(({ items }) => items) ?? [], [list.data]);
  const option = useMemo(
    () => (usage === undefined ? undefined : distanceOption(usage, waiting, reader)),
    [usage, waiting, reader],
  );
  const columns = useMemo((): Column<Reading>[] => {
    const { locale } = reader;
    return [
      {
        header: 'Read',
        accessorKey: 'readAt',
        sortFn: 'text',
        cell: ({ row: { original } }) => momentText(original.readAt, zone, locale),
      },
      {
        header: 'As the instrument showed it',
        accessorKey: 'value',
        sortFn: 'basic',
        cell: ({ row: { original } }) => `${numberText(original.value, locale, 0)} ${original.unit}`,
      },
      { header: 'From', accessorFn: ({ source }) => inWords(source), sortFn: 'text' },
      {
        header: 'State',
        accessorKey: 'state',
        sortFn: 'text',
        cell: ({ row: { original } }) => (
          <>
            <StateMark tone={TONES[original.state]}>{STATES[original.state]}</StateMark>
            {original.decisionNote === null ? null : (
              <span className="small soft">
                <br />
                {original.decidedBy}: {original.decisionNote}
              </span>
            )}
          </>
        ),
      },
    ];
  }, [reader, zone]);

  return (
    <section className="stack" aria-labelledby="distance">
      <h2 id="distance">Distance</h2>
      <ProblemNotice error={error ?? list.error} />
      {usage === undefined || option === undefined ? (
        error === null ? (
          <Waiting what="the distance" />
        ) : null
      ) : (
        <>
          <p>{usageInWords(usage, reader)}</p>
          <Suspense fallback={<Waiting what="the chart" />}>
            <Chart label={`Distance of ${vehicle.registrationMark}: readings and forecast`} option={option} />
          </Suspense>
          {usage.warnings.length === 0 && usage.missing.length === 0 ? null : (
            <Notice tone="warn" title="What weakens the forecast">
              <ul>
                {[...usage.warnings.map(({ sentence }) => sentence), ...usage.missing].map((sentence) => (
                  <li key={sentence}>{told(sentence)}</li>
                ))}
              </ul>
            </Notice>
          )}
        </>
      )}
      {waiting.length === 0 ? null : (
        <>
          <h3>Waiting for a decision</h3>
          <ul className="stack plain">
            {waiting.map((reading) => (
              <QuarantinedReading key={reading.id} reading={reading} zone={zone} />
            ))}
          </ul>
        </>
      )}
      <AddReading vehicle={vehicle} zone={zone} />
      <ReplaceInstrument vehicle={vehicle} zone={zone} />
      <h3>Readings</h3>
      <DataTable
        caption={`Readings of ${vehicle.registrationMark}`}
        columns={columns}
        rows={readings}
        rowId={({ id }) => id}
        empty={list.isPending ? 'Reading …' : 'No reading yet.'}
      />
      <MoreButton list={list} of="readings" />
    </section>
  );
}
