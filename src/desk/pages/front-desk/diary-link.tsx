import { useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { Link } from 'wouter';
import { momentText } from '../../format/days';
import { useReader } from '../../session/session';
import { workshopsQuery, type Booking } from './front-desk-queries';
import { localDay } from './offers';

interface DiaryLinkProps {
  booking: Pick<Booking, 'workshopId' | 'startsAt'>;
  children: ReactNode;
}

/** To the day of a booking in the diary of its workshop. */
export function DiaryLink({ booking: { workshopId, startsAt }, children }: DiaryLinkProps) {
  const { data: workshops } = useQuery(workshopsQuery);
  const zone = workshops?.find(({ id }) => id === workshopId)?.zone ?? 'utc';
  return <Link href={`/diary/${workshopId}?date=${localDay(startsAt, zone)}`}>{children}</Link>;
}

/** When and where it is, leading to the diary. */
export function BookingLink({ booking }: { booking: DiaryLinkProps['booking'] }) {
  const { locale } = useReader();
  const { data: workshops } = useQuery(workshopsQuery);
  const workshop = workshops?.find(({ id }) => id === booking.workshopId);
  return (
    <DiaryLink booking={booking}>
      {momentText(booking.startsAt, workshop?.zone ?? 'utc', locale)}, {workshop?.name ?? 'another workshop'}
    </DiaryLink>
  );
}
