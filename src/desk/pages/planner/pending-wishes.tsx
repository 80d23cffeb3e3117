import { Button } from '../../design/button';
import { Notice } from '../../design/notice';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import type { DowntimePlan } from './plan-words';
import {
  withoutForbidden,
  wishChanges,
  type PlannedVisit,
  type WishChange,
  type Wishes,
} from './plan-wishes';

const WORDS: Record<WishChange['kind'], string> = {
  lock: 'stays, locked on',
  'let-go': 'is let go on',
  forbid: 'stays on the road on',
  allow: 'may be off the road again on',
};

interface PendingWishesProps {
  plan: DowntimePlan;
  wishes: Wishes;
  visits: readonly PlannedVisit[];
  onChange: (wishes: Wishes) => void;
  onPlanAgain: () => void;
  busy: boolean;
}

/** What is wished by hand: as the plan was made, and what waits for the next one. */
export function PendingWishes({ plan, wishes, visits, onChange, onPlanAgain, busy }: PendingWishesProps) {
  const { locale } = useReader();
  const changes = wishChanges(plan.wishes, wishes);
  const conflicts = plan.outcome?.conflicts ?? [];
  const markOf = (vehicleId: string): string =>
    [...visits, ...conflicts].find((each) => each.vehicleId === vehicleId)?.registrationMark ?? 'A vehicle';
  return (
    <div className="stack screen-only">
      {changes.length === 0 ? null : (
        <Notice tone="info" title="Wait for the next plan" live>
          <ul>
            {changes.map(({ kind, vehicleId, on }) => (
              <li key={`${kind} ${vehicleId} ${on}`}>
                {markOf(vehicleId)} {WORDS[kind]} {dayText(on, locale)}
              </li>
            ))}
          </ul>
          <div className="row">
            <Button kind="main" onClick={onPlanAgain} busy={busy}>
              Plan again
            </Button>
            <Button onClick={() => onChange(plan.wishes)}>Take the changes back</Button>
          </div>
        </Notice>
      )}
      {wishes.locked.length + wishes.forbidden.length === 0 ? null : (
        <details>
          <summary>
            Wishes: {wishes.locked.length} locked, {wishes.forbidden.length} days on the road
          </summary>
          <ul>
            {wishes.locked.map((lock) => (
              <li key={`lock ${lock.vehicleId} ${lock.on}`}>
                {markOf(lock.vehicleId)} locked on {dayText(lock.on, locale)}{' '}
                <Button
                  kind="quiet"
                  onClick={() =>
                    onChange({ ...wishes, locked: wishes.locked.filter((each) => each !== lock) })
                  }
                >
                  Let go
                  <span className="unseen">
                    {' '}
                    {markOf(lock.vehicleId)} on {dayText(lock.on, locale)}
                  </span>
                </Button>
              </li>
            ))}
            {wishes.forbidden.map((day) => (
              <li key={`forbidden ${day.vehicleId} ${day.on}`}>
                {markOf(day.vehicleId)} stays on the road on {dayText(day.on, locale)}{' '}
                <Button kind="quiet" onClick={() => onChange(withoutForbidden(wishes, day))}>
                  Let go
                  <span className="unseen">
                    {' '}
                    {markOf(day.vehicleId)} on {dayText(day.on, locale)}
                  </span>
                </Button>
              </li>
            ))}
          </ul>
        </details>
      )}
    </div>
  );
}
