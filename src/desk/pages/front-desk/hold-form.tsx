import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useEffect, useRef } from 'react';
import { answered, api, type Schemas } from '../../api/client';
import { ProblemError } from '../../api/problem';
import { CheckField, SelectField } from '../../design/field';
import { ProblemNotice } from '../../design/notice';
import { dayText, minutesText } from '../../format/days';
import { useReader } from '../../session/session';
import type { CallDraft } from './call-draft';
import { CallerFields } from './caller-fields';
import { bookingQuery, type Booking, type FreeTime } from './front-desk-queries';
import { focusInSight } from './focus-in';
import { KeyButton } from './key-button';
import { localDay, spanText } from './offers';

const HOLDS_MINUTES = [5, 15, 30, 60, 240];

interface HoldFormProps {
  vehicleId: string;
  chosen: FreeTime | null;
  ticks: readonly string[];
  draft: CallDraft;
  onChange: (part: Partial<CallDraft>) => void;
  onHeld: (booking: Booking) => void;
  onTaken: (problem: ProblemError) => void;
}

/** Who called, and the time that is to be held for them. */
export function HoldForm({ vehicleId, chosen, ticks, draft, onChange, onHeld, onTaken }: HoldFormProps) {
  const queries = useQueryClient();
  const { locale } = useReader();
  const hold = useMutation({
    mutationFn: (time: FreeTime) =>
      answered(api.POST('/v1/bookings', { body: wantedBooking(vehicleId, time, ticks, draft) })),
    onSuccess: (booking) => {
      queries.setQueryData(bookingQuery(booking.id).queryKey, booking);
      onHeld(booking);
    },
    onError: (error) => {
      if (error instanceof ProblemError && error.kind === 'slot-taken') onTaken(error);
    },
    // whatever came of it, diaries have changed
    onSettled: () => {
      void queries.invalidateQueries({ queryKey: ['free-times'] });
      void queries.invalidateQueries({ queryKey: ['vehicle', vehicleId, 'bookings'] });
    },
  });
  const button = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    if (chosen !== null) focusInSight(button.current);
  }, [chosen]);
  const send = (): void => {
    if (chosen !== null && !hold.isPending) hold.mutate(chosen);
  };
  const isTaken = hold.error instanceof ProblemError && hold.error.kind === 'slot-taken';
  return (
    <form
      className="sheet stack"
      aria-labelledby="hold"
      onSubmit={(event) => {
        event.preventDefault();
        send();
      }}
    >
      <h2 id="hold">Hold a time</h2>
      {chosen === null ? (
        <p className="soft">Choose a free time; what is entered here stays.</p>
      ) : (
        <p>
          <strong>
            {dayText(localDay(chosen.startsAt, chosen.zone), locale)},{' '}
            {spanText(chosen.startsAt, chosen.endsAt, chosen.zone, locale)}
          </strong>{' '}
          at {chosen.workshopName}, {chosen.bayName}, with{' '}
          {chosen.technicians.map(({ name }) => name).join(' and ')}
        </p>
      )}
      <CallerFields contact={draft.contact} note={draft.note} error={hold.error} onChange={onChange} />
      <CheckField
        label="Because of a failure, not planned"
        checked={draft.failed}
        onChange={({ target }) => onChange({ failed: target.checked })}
      />
      <SelectField
        label="Hold it for"
        value={draft.holdMinutes}
        onChange={({ target }) => onChange({ holdMinutes: Number(target.value) })}
      >
        {HOLDS_MINUTES.map((minutes) => (
          <option key={minutes} value={minutes}>
            {minutesText(minutes)}
          </option>
        ))}
      </SelectField>
      {isTaken ? null : <ProblemNotice error={hold.error} />}
      <KeyButton
        ref={button}
        kind="main"
        shortcut="H"
        busy={hold.isPending}
        disabled={chosen === null}
        onClick={send}
      >
        Hold this time
      </KeyButton>
    </form>
  );
}

// the bay and the people that were read out to the caller, and no others
function wantedBooking(
  vehicleId: string,
  { workshopId, bayId, technicians, startsAt }: FreeTime,
  ticks: readonly string[],
  { extraWork, contact, note, failed, holdMinutes }: CallDraft,
): Schemas['CreateBookingDto'] {
  return {
    vehicleId,
    workshopId,
    bayId,
    technicianIds: technicians.length === 0 ? null : technicians.map(({ id }) => id),
    startsAt,
    holdMinutes,
    cause: failed ? 'failure' : 'planned',
    dueItemKeys: [...ticks],
    extraWork,
    contact: contact.trim() === '' ? null : contact.trim(),
    note: note.trim() === '' ? null : note.trim(),
  };
}
