import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { STANDING_CAUTIONS } from '../../../core/hydraulics/cautions';
import { Button } from '../../design/button';
import { TextField } from '../../design/field';
import { Notice, ProblemNotice } from '../../design/notice';
import { useReader } from '../../session/session';
import { STEP_WORDS, STEPS_DONE, stepsFor, takeStep, type PressedStep } from './booking-steps';
import type { Booking } from './booking-words';
import { keepBooking } from './diary-data';
import { useWords } from './diary-words';
import { JobSheetLink } from './job-sheet-link';

interface BookingActionsProps {
  booking: Booking;
  onMove: ((booking: Booking) => void) | null;
  onSaid: (text: string) => void;
}

/** What can be done with a booking next. */
export function BookingActions({ booking, onMove, onSaid }: BookingActionsProps) {
  const { role } = useReader().session.person;
  const { mark } = useWords();
  const queries = useQueryClient();
  // steps that need words first
  const [asking, setAsking] = useState<'cancel' | 'collect' | null>(null);
  const step = useMutation({
    mutationFn: ({ step, words }: { step: PressedStep; words: string }) => takeStep(booking, step, words),
    onSuccess: (changed, { step }) => {
      keepBooking(queries, changed);
      setAsking(null);
      onSaid(`${mark(changed)}: ${STEPS_DONE[step]}`);
    },
    // somebody else may have changed it: the reason is shown, and what it is now
    onError: () => void queries.invalidateQueries({ queryKey: ['booking', booking.id] }),
  });
  const steps = stepsFor(booking, role);
  const press = (pressed: PressedStep): void => {
    step.reset();
    if (pressed === 'cancel' || pressed === 'collect') setAsking(pressed);
    else step.mutate({ step: pressed, words: '' });
  };
  return (
    <>
      {steps.includes('start') ? <Cautions /> : null}
      <ProblemNotice error={step.error} />
      {asking === null || !steps.includes(asking) ? (
        <div className="row">
          {steps.map((each, index) => (
            <Button
              key={each}
              kind={each === 'cancel' ? 'danger' : index === 0 ? 'main' : 'plain'}
              busy={step.isPending}
              onClick={() => press(each)}
            >
              {STEP_WORDS[each]}
            </Button>
          ))}
          {onMove === null ? null : <Button onClick={() => onMove(booking)}>Move</Button>}
          <JobSheetLink booking={booking} />
        </div>
      ) : (
        <AskForWords
          key={asking}
          step={asking}
          busy={step.isPending}
          onBack={() => setAsking(null)}
          onWords={(words) => step.mutate({ step: asking, words })}
        />
      )}
      {booking.nextSteps.includes('finish') ? (
        <p className="soft">The work ends when its job sheet is completed.</p>
      ) : null}
    </>
  );
}

interface AskForWordsProps {
  step: 'cancel' | 'collect';
  busy: boolean;
  onBack: () => void;
  onWords: (words: string) => void;
}

function AskForWords({ step, busy, onBack, onWords }: AskForWordsProps) {
  const [words, setWords] = useState('');
  const [fault, setFault] = useState('');
  const cancels = step === 'cancel';
  return (
    <form
      className="stack"
      onSubmit={(event) => {
        event.preventDefault();
        if (cancels && words.trim() === '') setFault('Say in a few words why it is cancelled.');
        else onWords(words.trim());
      }}
    >
      <TextField
        label={cancels ? 'Reason of the cancellation' : 'Leaves on hold: why and how'}
        hint={
          cancels
            ? undefined
            : 'Only for a vehicle on hold, which must not go to the road: it leaves on a trailer or in tow.'
        }
        fault={fault}
        maxLength={500}
        autoFocus
        value={words}
        onChange={(event) => setWords(event.target.value)}
      />
      <div className="row">
        <Button kind={cancels ? 'danger' : 'main'} type="submit" busy={busy}>
          {STEP_WORDS[step]}
        </Button>
        <Button onClick={onBack}>Back</Button>
      </div>
    </form>
  );
}

function Cautions() {
  const cautions = STANDING_CAUTIONS.filter(({ shownFor }) => shownFor.includes('any-work'));
  return (
    <Notice tone="warn" title="Before work starts">
      <ul>
        {cautions.map(({ code, text }) => (
          <li key={code}>{text}</li>
        ))}
      </ul>
      <p>The maker’s manual, local law and a licensed person decide.</p>
    </Notice>
  );
}
