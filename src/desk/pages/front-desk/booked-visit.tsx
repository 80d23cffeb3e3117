import { useEffect, useRef } from 'react';
import { Button } from '../../design/button';
import { Notice } from '../../design/notice';
import { DiaryLink } from './diary-link';
import { focusInSight } from './focus-in';
import type { Booking } from './front-desk-queries';
import { stateWords } from './open-bookings';
import { useShortcutsOn } from './use-shortcut';
import { VisitText } from './visit-text';

interface BookedVisitProps {
  booking: Booking;
  onAnother: () => void;
  onNext: () => void;
}

/** A booking that stands: what to say before the call is over. */
export function BookedVisit({ booking, onAnother, onNext }: BookedVisitProps) {
  const button = useRef<HTMLButtonElement>(null);
  const showsKeys = useShortcutsOn();
  useEffect(() => focusInSight(button.current), []);
  return (
    <section className="sheet stack" aria-labelledby="booked">
      <h2 id="booked">Booking</h2>
      <Notice tone="good" title={stateWords(booking.state)} live>
        <VisitText booking={booking} />
        {booking.contact === null ? null : <p>For {booking.contact}</p>}
        {booking.note === null ? null : <p>{booking.note}</p>}
      </Notice>
      <p>
        <DiaryLink booking={booking}>Show it in the diary</DiaryLink>
      </p>
      <div className="row">
        <Button ref={button} kind="main" keys={showsKeys ? 'N' : undefined} onClick={onNext}>
          Next call
        </Button>
        <Button kind="quiet" onClick={onAnother}>
          Another visit for this vehicle
        </Button>
      </div>
    </section>
  );
}
