import { useQuery } from '@tanstack/react-query';
import { Button } from '../../design/button';
import { Notice, ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { BookedVisit } from './booked-visit';
import { bookingQuery } from './front-desk-queries';
import { HeldVisit } from './held-visit';
import { isOpen, stateWords } from './open-bookings';
import { VisitText } from './visit-text';

interface VisitProps {
  bookingId: string;
  /** look for another time */
  onLeave: () => void;
  /** this booking stands, and the caller wants one more */
  onAnother: () => void;
  onNext: () => void;
}

/** The booking of this call: held, firm, or over. */
export function Visit({ bookingId, onLeave, onAnother, onNext }: VisitProps) {
  const { data: booking, error } = useQuery(bookingQuery(bookingId));
  if (booking === undefined)
    return (
      <section className="sheet stack" aria-label="Booking">
        {error === null ? <Waiting what="the booking" /> : <ProblemNotice error={error} />}
        {error === null ? null : <Button onClick={onLeave}>To the free times</Button>}
      </section>
    );
  if (booking.state === 'provisional') return <HeldVisit booking={booking} onLeave={onLeave} />;
  if (isOpen(booking)) return <BookedVisit booking={booking} onAnother={onAnother} onNext={onNext} />;
  return (
    <section className="sheet stack" aria-label="Booking">
      <Notice tone="warn" title={stateWords(booking.state)} live>
        <p>This time is not kept for the caller. What was entered is still here: look for a time again.</p>
      </Notice>
      <VisitText booking={booking} />
      <Button kind="main" autoFocus onClick={onLeave}>
        To the free times
      </Button>
    </section>
  );
}
