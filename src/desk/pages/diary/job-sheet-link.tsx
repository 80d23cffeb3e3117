import { useMutation, useQuery } from '@tanstack/react-query';
import { Link, useLocation } from 'wouter';
import { answered, api } from '../../api/client';
import { Button } from '../../design/button';
import { ProblemNotice } from '../../design/notice';
import { useReader } from '../../session/session';
import { isOpenTo } from '../../shell/sections';
import { SHEET_MAKERS } from './booking-steps';
import type { Booking, BookingState } from './booking-words';

const SHEET_STATES: readonly BookingState[] = ['confirmed', 'arrived', 'in-work'];

/** The way to the job sheet of a booking; where there is none yet, it is made. */
export function JobSheetLink({ booking: { id: bookingId, state } }: { booking: Booking }) {
  const { role } = useReader().session.person;
  const [, navigate] = useLocation();
  const sheet = useQuery({
    queryKey: ['job-sheets', 'of-booking', bookingId],
    queryFn: async () => {
      const { items } = await answered(
        api.GET('/v1/job-sheets', { params: { query: { bookingId, limit: 1 } } }),
      );
      return items[0] ?? null;
    },
  });
  const make = useMutation({
    mutationFn: () =>
      answered(api.POST('/v1/bookings/{bookingId}/job-sheet', { params: { path: { bookingId } } })),
    onSuccess: ({ id }) => navigate(`/job-sheets/${id}`),
  });
  if (!isOpenTo('/job-sheets', role)) return null;
  if (sheet.data === undefined) return <ProblemNotice error={sheet.error} />;
  if (sheet.data !== null) return <Link href={`/job-sheets/${sheet.data.id}`}>To the job sheet</Link>;
  if (!SHEET_STATES.includes(state) || !SHEET_MAKERS.includes(role)) return null;
  return (
    <>
      <Button busy={make.isPending} onClick={() => make.mutate()}>
        Make job sheet
      </Button>
      <ProblemNotice error={make.error} />
    </>
  );
}
