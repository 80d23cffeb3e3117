import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useEffect, useRef, useState } from 'react';
import { answered, api, ifMatch } from '../../api/client';
import { Notice, ProblemNotice } from '../../design/notice';
import { Button } from '../../design/button';
import { CallerFields } from './caller-fields';
import { focusInSight } from './focus-in';
import { bookingQuery, type Booking } from './front-desk-queries';
import styles from './front-desk.module.css';
import { leftText, secondsLeft } from './hold-countdown';
import { KeyButton } from './key-button';
import { useNow } from './use-now';
import { VisitText } from './visit-text';

const GIVEN_BACK = 'Given back during the call';
/** from here on the caller has to be told */
const SOON_SECONDS = 120;

/** A time that is held while the caller makes up their mind: to be made firm, or given back. */
export function HeldVisit({ booking, onLeave }: { booking: Booking; onLeave: () => void }) {
  const queries = useQueryClient();
  const now = useNow();
  const [contact, setContact] = useState(booking.contact ?? '');
  const [note, setNote] = useState(booking.note ?? '');
  const key = bookingQuery(booking.id).queryKey;
  const keep = (next: Booking): void => {
    queries.setQueryData(key, next);
    void queries.invalidateQueries({ queryKey: ['free-times'] });
    void queries.invalidateQueries({ queryKey: ['vehicle', booking.vehicleId, 'bookings'] });
  };
  const path = { bookingId: booking.id };
  // refused because it ran out, or somebody else decided: the page shows what it is now
  const onError = (): void => void queries.invalidateQueries({ queryKey: key });
  const confirm = useMutation({
    mutationFn: async () => {
      const known = await withCaller(booking, contact, note);
      keep(known);
      return answered(
        api.POST('/v1/bookings/{bookingId}/confirmation', { params: { path, header: ifMatch(known) } }),
      );
    },
    onSuccess: keep,
    onError,
  });
  const giveBack = useMutation({
    mutationFn: () =>
      answered(
        api.POST('/v1/bookings/{bookingId}/cancellation', {
          params: { path, header: ifMatch(booking) },
          body: { reason: GIVEN_BACK },
        }),
      ),
    onSuccess: (cancelled) => {
      onLeave();
      keep(cancelled);
    },
    onError,
  });
  const button = useRef<HTMLButtonElement>(null);
  useEffect(() => focusInSight(button.current), []);
  const untilAt = booking.provisionalUntil ?? booking.endsAt;
  const left = secondsLeft(untilAt, now);
  const isBusy = confirm.isPending || giveBack.isPending;
  return (
    <form
      className={`sheet stack ${styles.heldTime}`}
      aria-labelledby="held"
      onSubmit={(event) => {
        event.preventDefault();
        if (!isBusy) confirm.mutate();
      }}
    >
      <div className="row spread">
        <h2 id="held">Held for the caller</h2>
        <p role="timer" aria-label="Held for another" className={styles.countdown}>
          {leftText(untilAt, now)}
        </p>
      </div>
      <p role="status" className="unseen">
        {left > SOON_SECONDS ? 'The time is held.' : left > 0 ? 'Less than two minutes are left.' : ''}
      </p>
      {left > 0 ? null : (
        <Notice tone="warn" title="The time was not held any longer" live>
          <p>What was entered is still here: look for a time again.</p>
        </Notice>
      )}
      <VisitText booking={booking} />
      <CallerFields
        contact={contact}
        note={note}
        error={confirm.error}
        onChange={(part) => {
          if (part.contact !== undefined) setContact(part.contact);
          if (part.note !== undefined) setNote(part.note);
        }}
      />
      <ProblemNotice error={confirm.error ?? giveBack.error} />
      {left > 0 ? (
        <div className="row">
          <KeyButton ref={button} kind="main" shortcut="F" busy={isBusy} onClick={() => confirm.mutate()}>
            Make it firm
          </KeyButton>
          <KeyButton shortcut="G" busy={isBusy} onClick={() => giveBack.mutate()}>
            Give it back
          </KeyButton>
        </div>
      ) : (
        <Button kind="main" onClick={onLeave}>
          To the free times
        </Button>
      )}
    </form>
  );
}

/** The booking with what has been said of the caller meanwhile. */
async function withCaller(booking: Booking, contact: string, note: string): Promise<Booking> {
  const [who, what] = [contact, note].map((text) => (text.trim() === '' ? null : text.trim()));
  if (who === booking.contact && what === booking.note) return booking;
  return answered(
    api.PATCH('/v1/bookings/{bookingId}', {
      params: { path: { bookingId: booking.id }, header: ifMatch(booking) },
      body: { contact: who, note: what },
    }),
  );
}
