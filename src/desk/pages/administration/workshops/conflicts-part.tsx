import { useQueries, useQuery } from '@tanstack/react-query';
import { Link } from 'wouter';
import { answered, api } from '../../../api/client';
import { Notice, ProblemNotice } from '../../../design/notice';
import { momentText } from '../../../format/days';
import { useReader } from '../../../session/session';
import type { Workshop } from './workshop-values';

/** Bookings to come that could not be made any more, with what is in their way. Nothing where all is in order. */
export function ConflictsPart({ workshop: { id, zone } }: { workshop: Workshop }) {
  const { locale } = useReader();
  const conflicts = useQuery({
    queryKey: ['administration', 'workshops', id, 'conflicts'],
    queryFn: () =>
      answered(
        api.GET('/v1/workshops/{workshopId}/booking-conflicts', { params: { path: { workshopId: id } } }),
      ),
  });
  const items = conflicts.data?.items ?? [];
  const vehicles = useQueries({
    queries: [...new Set(items.map(({ booking }) => booking.vehicleId))].map((vehicleId) => ({
      queryKey: ['vehicles', vehicleId],
      queryFn: () => answered(api.GET('/v1/vehicles/{vehicleId}', { params: { path: { vehicleId } } })),
    })),
  });
  const markOf = (vehicleId: string) =>
    vehicles.find(({ data }) => data?.id === vehicleId)?.data?.registrationMark ?? 'a vehicle';
  if (items.length === 0) return <ProblemNotice error={conflicts.error} />;
  return (
    <Notice
      tone="warn"
      live
      title={
        items.length === 1
          ? 'One booking no longer fits hours, bays and people.'
          : `${items.length} bookings no longer fit hours, bays and people.`
      }
    >
      <p>
        They stand until somebody moves them: <Link href={`/diary/${id}`}>open the diary</Link>.
      </p>
      <ul>
        {items.map(({ booking, because }) => (
          <li key={booking.id}>
            {markOf(booking.vehicleId)}, {momentText(booking.startsAt, zone, locale)}: {because.join('; ')}
          </li>
        ))}
      </ul>
    </Notice>
  );
}
