import { useInfiniteQuery } from '@tanstack/react-query';
import { DateTime } from 'luxon';
import { useMemo } from 'react';
import { Link } from 'wouter';
import type { Schemas } from '../../../api/client';
import { DataTable, type Column } from '../../../design/data-table';
import { MoreButton } from '../../../design/more-button';
import { ProblemNotice } from '../../../design/notice';
import { StateMark, type Tone } from '../../../design/state-mark';
import { countedTitleTexts } from '../../../format/counted-titles';
import { momentText } from '../../../format/days';
import { useReader } from '../../../session/session';
import type { VehiclePartProps } from '../vehicle-part-props';
import { vehicleQueries } from '../vehicle-queries';
import { inWords } from '../../../format/words';
import { Periods } from './periods';

type Booking = Schemas['BookingDto'];

const TONES: Partial<Record<Booking['state'], Tone>> = {
  provisional: 'warn',
  confirmed: 'info',
  arrived: 'info',
  'in-work': 'info',
  finished: 'good',
  collected: 'good',
  missed: 'bad',
};

/** Where the booking stands in the diary of its workshop. */
function diaryOf({ id, workshopId, startsAt }: Booking, zone: string): string {
  return `/diary/${workshopId}?date=${DateTime.fromISO(startsAt, { zone }).toISODate() ?? ''}&booking=${id}`;
}

/** When the vehicle is booked in, off the road, or has to stay on it. */
export default function DaysPart({ vehicle, zone }: VehiclePartProps) {
  const { locale } = useReader();
  const list = useInfiniteQuery(vehicleQueries(vehicle.id).bookings);
  const bookings = useMemo(() => list.data?.pages.flatMap(({ items }) => items) ?? [], [list.data]);
  const columns = useMemo(
    (): Column<Booking>[] => [
      {
        header: 'Starts',
        accessorKey: 'startsAt',
        sortFn: 'text',
        cell: ({ row: { original } }) => (
          <Link href={diaryOf(original, zone)}>{momentText(original.startsAt, zone, locale)}</Link>
        ),
      },
      {
        header: 'Ends',
        accessorKey: 'endsAt',
        sortFn: 'text',
        cell: ({ row: { original } }) => momentText(original.endsAt, zone, locale),
      },
      {
        header: 'State',
        accessorKey: 'state',
        sortFn: 'text',
        cell: ({ row: { original } }) => (
          <StateMark tone={TONES[original.state] ?? 'unknown'}>{inWords(original.state)}</StateMark>
        ),
      },
      {
        header: 'Work',
        accessorFn: ({ items, extraWork }) => countedTitleTexts([...items, ...extraWork]).join('; '),
        enableSorting: false,
      },
    ],
    [locale, zone],
  );
  return (
    <section className="stack" aria-labelledby="days">
      <h2 id="days">Bookings and days</h2>
      <h3>Bookings</h3>
      <ProblemNotice error={list.error} />
      <DataTable
        caption={`Bookings of ${vehicle.registrationMark}`}
        columns={columns}
        rows={bookings}
        rowId={({ id }) => id}
        empty={list.isPending ? 'Reading …' : 'It is not booked in anywhere.'}
      />
      <MoreButton list={list} of="bookings" />
      <div className="columns">
        <Periods kind="off-road-periods" vehicleId={vehicle.id} zone={zone} />
        <Periods kind="blackout-periods" vehicleId={vehicle.id} zone={zone} />
      </div>
    </section>
  );
}
