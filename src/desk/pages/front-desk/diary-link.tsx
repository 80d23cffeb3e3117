import { useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { Link } from 'wouter';
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
