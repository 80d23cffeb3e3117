import { Link } from 'wouter';
import { localDateAt } from '../../../core/shared/calendar-date';
import { Button } from '../../design/button';
import { Dialog } from '../../design/dialog';
import { Notice, ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { dayText, minutesText, momentText } from '../../format/days';
import { useReader } from '../../session/session';
import { BookingActions } from './booking-actions';
import { BookingMark } from './booking-mark';
import { stateAt, type Booking } from './booking-words';
import { useBooking, useMarks, type Workshop } from './diary-data';
import { useWords, WordsContext } from './diary-words';
import { useNow } from './use-now';
import styles from './booking-dialog.module.css';

interface BookingDialogProps {
  bookingId: string;
  known: Booking | undefined;
  workshop: Workshop;
  /** what is in its way, in words */
  because: readonly string[];
  /** null where it cannot be moved, or not by whoever looks */
  onMove: ((booking: Booking) => void) | null;
  onSaid: (text: string) => void;
  onClose: () => void;
}

/** Everything about one booking, and what can be done with it. */
export function BookingDialog({ bookingId, known, ...rest }: BookingDialogProps) {
  const { data: booking, error } = useBooking(bookingId, known);
  // it may be one of a day that is not shown
  const marks = useMarks(booking === undefined ? [] : [booking.vehicleId]);
  const words = { ...useWords(), mark: ({ vehicleId }: Booking) => marks.get(vehicleId) ?? '…' };
  return (
    <WordsContext value={words}>
      <Dialog
        title={booking === undefined ? 'Booking' : `Booking of ${words.mark(booking)}`}
        onClose={rest.onClose}
      >
        {booking === undefined && error === null ? <Waiting what="the booking" /> : null}
        {booking === undefined ? <ProblemNotice error={error} /> : <Details {...rest} booking={booking} />}
        <div className="row">
          <Button onClick={rest.onClose}>Close</Button>
        </div>
      </Dialog>
    </WordsContext>
  );
}

interface DetailsProps extends Omit<BookingDialogProps, 'bookingId' | 'known'> {
  booking: Booking;
}

function Details({ booking, workshop, because, ...rest }: DetailsProps) {
  const { locale } = useReader();
  const { spanText, mark, people, bay } = useWords();
  const nowAt = useNow(1_000);
  const at = (moment: string): string => momentText(moment, workshop.zone, locale);
  const held = stateAt(booking, nowAt) === 'provisional' ? booking.provisionalUntil : null;
  const facts: [string, React.ReactNode][] = [
    ['Vehicle', <Link href={`/vehicles/${booking.vehicleId}`}>{mark(booking)}</Link>],
    [
      'Work',
      `${dayText(localDateAt(Date.parse(booking.startsAt), workshop.zone), locale)}, ${spanText(booking)}, ${minutesText(booking.workMinutes)} of work`,
    ],
    [
      'Bay',
      `${bay(booking.bayId)}, taken ${spanText({ startsAt: booking.bayFromAt, endsAt: booking.bayUntilAt })}`,
    ],
    ['People', people(booking.technicianIds)],
    ['Held until', held === null ? null : at(held)],
    ['Why it comes', booking.cause === 'failure' ? 'Failure' : 'Planned maintenance'],
    ['Contact', booking.contact],
    ['Note', booking.note],
    ['Arrived', booking.arrivedAt === null ? null : at(booking.arrivedAt)],
    ['Work began', booking.workStartedAt === null ? null : at(booking.workStartedAt)],
    ['Work ended', booking.finishedAt === null ? null : at(booking.finishedAt)],
    ['Collected', booking.collectedAt === null ? null : at(booking.collectedAt)],
    ['Closed', booking.closedAt === null ? null : `${at(booking.closedAt)}: ${booking.closedReason ?? ''}`],
  ];
  return (
    <>
      <p>
        <BookingMark {...{ booking, nowAt }} inConflict={because.length > 0} />
      </p>
      {because.length === 0 ? null : <Notice tone="warn" title={because.join(' ')} />}
      <dl className={styles.facts}>
        {facts.map(([name, value]) =>
          value === null || value === '' ? null : (
            <div key={name}>
              <dt>{name}</dt>
              <dd>{value}</dd>
            </div>
          ),
        )}
      </dl>
      <WorkList booking={booking} />
      <BookingActions {...rest} booking={booking} />
    </>
  );
}

function WorkList({ booking: { items, extraWork } }: { booking: Booking }) {
  return (
    <>
      <h3>Work</h3>
      <ul>
        {items.map(({ dueItemKey, cycle, title, minutes, minutesAssumed, safetyCritical }) => (
          <li key={`${dueItemKey} ${cycle}`}>
            {title}, {minutesText(minutes)}
            {minutesAssumed ? ' (assumed)' : ''}
            {safetyCritical ? <strong> ▲ safety-critical</strong> : null}
          </li>
        ))}
        {extraWork.map(({ title, minutes }) => (
          <li key={title}>
            {title}, {minutesText(minutes)}
          </li>
        ))}
      </ul>
    </>
  );
}
