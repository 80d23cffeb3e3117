import { Notice } from '../../design/notice';
import { Button } from '../../design/button';
import type { Schemas } from '../../api/client';
import { clipped, periodOf, type Period } from './day-axis';
import type { OpenDay, Technician } from './diary-data';
import { useWords, type DiaryWords } from './diary-words';

/** Such as `07:30–12:30, 13:00–18:00`, or why it is shut. */
export function hoursText(day: OpenDay | undefined, { clock }: Pick<DiaryWords, 'clock'>): string {
  if (day === undefined) return '';
  const hours = day.windows
    .map(({ startsAt, endsAt }) => `${clock(Date.parse(startsAt))}–${clock(Date.parse(endsAt))}`)
    .join(', ');
  const note = day.note ?? '';
  if (hours === '') return note === '' ? 'shut' : `shut: ${note}`;
  return note === '' ? hours : `${hours} (${note})`;
}

/** Who is not there on a day, and when. */
export function AbsentPeople({ technicians, day }: { technicians: readonly Technician[]; day: Period }) {
  const { clock } = useWords();
  const absent = technicians.flatMap(({ id, name, absences }) =>
    absences.flatMap(({ reason, ...times }) => {
      const seen = clipped(periodOf(times), day);
      return seen === null ? [] : [{ id, name, reason, ...seen }];
    }),
  );
  if (absent.length === 0) return null;
  const text = absent.map(({ name, reason, startsAt, endsAt }) => {
    const isWhole = startsAt === day.startsAt && endsAt === day.endsAt;
    const when = isWhole ? '' : `${clock(startsAt)}–${clock(endsAt)}`;
    const why = [reason ?? '', when].filter((each) => each !== '').join(', ');
    return why === '' ? name : `${name} (${why})`;
  });
  return <p>Absent: {text.join('; ')}</p>;
}

interface ConflictNoticeProps {
  conflicts: readonly Schemas['BookingConflictDto'][];
  onOpen: (bookingId: string) => void;
  dayOf: (booking: Schemas['BookingDto']) => string;
}

/** Bookings that could not be made any more: somebody has to move them. */
export function ConflictNotice({ conflicts, onOpen, dayOf }: ConflictNoticeProps) {
  const { mark } = useWords();
  if (conflicts.length === 0) return null;
  const count = conflicts.length;
  return (
    <div className="screen-only">
      <Notice
        tone="warn"
        title={count === 1 ? 'One booking has to be moved' : `${count} bookings have to be moved`}
      >
        <ul>
          {conflicts.map(({ booking, because }) => (
            <li key={booking.id}>
              {because.join(' ')}{' '}
              <Button kind="quiet" onClick={() => onOpen(booking.id)}>
                {`${mark(booking)}, ${dayOf(booking)}`}
              </Button>
            </li>
          ))}
        </ul>
      </Notice>
    </div>
  );
}
