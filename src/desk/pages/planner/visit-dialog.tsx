import type { UseMutationResult } from '@tanstack/react-query';
import { Link } from 'wouter';
import { Button } from '../../design/button';
import { Dialog } from '../../design/dialog';
import { Notice, ProblemNotice } from '../../design/notice';
import { StateMark } from '../../design/state-mark';
import { dayText, minutesText } from '../../format/days';
import { useReader } from '../../session/session';
import { useTold } from '../../session/use-told';
import { ItemReasons } from './item-reasons';
import { moneyText } from './money';
import { MoveVisit } from './move-visit';
import type { DowntimePlan } from './plan-words';
import { lockOf, withForbidden, withLock, withoutLock, type PlannedVisit, type Wishes } from './plan-wishes';
import { VisitState } from './visits-table';

interface VisitDialogProps {
  visit: PlannedVisit;
  plan: DowntimePlan;
  currency: string;
  wishes: Wishes;
  /** null for those who only look */
  onWish: ((wishes: Wishes) => void) | null;
  onAccept: (() => void) | null;
  accepting: Pick<UseMutationResult, 'error' | 'isPending'>;
  onClose: () => void;
}

/** One visit: its work with the reasons, and what can be done with it. */
export function VisitDialog({ visit, onWish, onAccept, accepting, onClose, ...rest }: VisitDialogProps) {
  const { locale } = useReader();
  const told = useTold();
  const { plan, currency, wishes } = rest;
  const lock = lockOf(wishes, visit);
  const isOpen = visit.acceptance !== 'booked';
  return (
    <Dialog title={`${visit.registrationMark}, ${dayText(visit.on, locale)}`} onClose={onClose}>
      <p>
        {visit.workshopName}, {minutesText(visit.workMinutes)}. The visit{' '}
        {moneyText(visit.visitCostMinor, currency, locale)}, its work{' '}
        {moneyText(visit.itemCostMinor, currency, locale)}.
      </p>
      <VisitState visit={visit} wishes={wishes} />
      {visit.refusal === null ? null : (
        <Notice tone="bad" title={told(visit.refusal)}>
          <p>Plan the rest again, or move the visit.</p>
        </Notice>
      )}
      {visit.bookingId === null ? null : (
        <Link href={`/diary/${visit.workshopId}?date=${visit.on}&booking=${visit.bookingId}`}>
          To the booking in the diary
        </Link>
      )}
      <ul className="stack">
        {visit.items.map((item) => (
          <li key={item.id}>
            <strong>{item.title}</strong>, due {dayText(item.dueOn, locale)}{' '}
            {item.safetyCritical ? <StateMark tone="bad">Safety-critical</StateMark> : null}
            <ItemReasons item={item} currency={currency} />
          </li>
        ))}
      </ul>
      {onWish !== null && isOpen ? (
        <>
          <div className="row">
            {lock === undefined ? (
              <Button onClick={() => onWish(withLock(wishes, visit))}>Lock this visit</Button>
            ) : (
              <Button onClick={() => onWish(withoutLock(wishes, visit))}>Let it go</Button>
            )}
            <Button onClick={() => onWish(withForbidden(wishes, visit))}>Forbid this day</Button>
          </div>
          <MoveVisit
            visit={visit}
            plan={plan}
            onMove={(to) => {
              onWish(withLock(wishes, visit, to));
              onClose();
            }}
          />
          {wishes === plan.wishes ? null : (
            <p className="soft" role="status">
              Wishes count when you plan again.
            </p>
          )}
        </>
      ) : null}
      <ProblemNotice error={accepting.error} />
      <div className="row">
        {onAccept === null ? null : (
          <Button kind="main" onClick={onAccept} busy={accepting.isPending}>
            Accept this visit
          </Button>
        )}
        <Button onClick={onClose}>Close</Button>
      </div>
    </Dialog>
  );
}
