import { localDateAt } from '../../../core/shared/calendar-date';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import type { Booking } from './booking-words';
import type { DayColumn } from './day-columns';
import { useWords, type DiaryWords } from './diary-words';
import type { Outlook } from './in-hand';
import { MoveBar, type MoveStep } from './move-bar';
import { beside, movedByDays, movedByQuarters } from './moves';
import { RefusalBar } from './refusal-bar';
import { keepsStart, overColumn, type Move, type Moving } from './use-move';

interface HandBarProps {
  moving: Moving;
  by: 'bays' | 'people';
  columns: readonly DayColumn[];
  outlook: Outlook | null;
  bookings: readonly Booking[];
  zone: string;
  onHeld: (startsAt: number) => void;
}

/** What is known of the booking in hand, or why it was not moved. */
export function HandBar({ moving, by, columns, outlook, bookings, zone, onHeld }: HandBarProps) {
  const { locale } = useReader();
  const words = useWords();
  const { move, refusal, saving } = moving;
  const day = (at: number | string): string => dayText(localDateAt(new Date(at).getTime(), zone), locale);

  if (refusal !== null) {
    // somebody else may have changed it meanwhile
    const booking = bookings.find(({ id }) => id === refusal.booking.id) ?? refusal.booking;
    const stands = `${day(booking.startsAt)}, ${words.clock(Date.parse(booking.startsAt))}, ${words.bay(booking.bayId)}, ${words.people(booking.technicianIds)}`;
    return (
      <RefusalBar
        {...{ refusal, stands, saving }}
        onTake={(to) => moving.take(booking, to)}
        onLeave={moving.giveUp}
      />
    );
  }
  if (move === null || outlook === null) return null;
  const text = `${day(move.to.startsAt)}, ${outlookText(move, outlook, words)}`;
  const onStep = (step: MoveStep): void => {
    if (step === 'keep') {
      moving.keep();
      return;
    }
    if (step === 'give-up') {
      moving.giveUp();
      return;
    }
    if (saving) return;
    const next = stepped(move, step, columns, by, zone);
    moving.hold(next);
    onHeld(next.to.startsAt);
  };
  return (
    <>
      {move.dragged ? null : (
        <MoveBar
          {...{ by, text, saving, onStep }}
          mark={words.mark(move.booking)}
          keepsStart={keepsStart(move.booking)}
        />
      )}
      <p role="status" className="unseen">
        {text}
      </p>
    </>
  );
}

function stepped(
  move: Move,
  step: Exclude<MoveStep, string>,
  columns: readonly DayColumn[],
  by: 'bays' | 'people',
  zone: string,
): Move {
  const { to, columnId } = move;
  if ('columns' in step) {
    const ids = columns.map(({ id }) => id);
    const next = beside(ids, columnId, step.columns);
    return { ...move, columnId: next, to: overColumn(move, by, next) };
  }
  if (keepsStart(move.booking)) return move;
  const startsAt =
    'days' in step ? movedByDays(to.startsAt, step.days, zone) : movedByQuarters(to.startsAt, step.quarters);
  return { ...move, to: { ...to, startsAt } };
}

/** Such as `10:15–12:15, Lift 2, Alder. Taken by TV24 KBD.` */
function outlookText({ to }: Move, { period, shut, taken, away }: Outlook, words: DiaryWords): string {
  const { clock, bay, people, mark } = words;
  const place = `${clock(period.startsAt)}–${clock(period.endsAt)}, ${bay(to.bayId)}, ${people(to.technicianIds)}.`;
  const hints = [
    shut ? 'The workshop is shut then.' : '',
    taken.length === 0 ? '' : `Taken by ${taken.map(mark).join(', ')}.`,
    away.length === 0 ? '' : `${[...new Set(away.map(({ because }) => because))].join(', ')}.`,
  ];
  return [place, ...hints].filter((each) => each !== '').join(' ');
}
