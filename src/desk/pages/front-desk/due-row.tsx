import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { StateMark, type Tone } from '../../design/state-mark';
import { minutesText } from '../../format/days';
import { useReader } from '../../session/session';
import { useTold } from '../../session/use-told';
import { rangeText, shortDay } from '../../format/dated-text';
import { BookingLink } from './diary-link';
import { explainedItemQuery, type Booking, type DueItem, type Suggestion } from './front-desk-queries';
import styles from './work.module.css';
import { stateWords } from './open-bookings';
import { dueWords, taskWords } from './visit-tasks';

interface DueRowProps {
  item: DueItem;
  ticked: boolean;
  /** what is ticked and settles it */
  doneWith: DueItem | undefined;
  /** the visit at which it is done already */
  booking: Booking | undefined;
  suggestion: Suggestion | undefined;
  onTick: () => void;
}

const TONES: Record<DueItem['state'], Tone> = {
  overdue: 'bad',
  due: 'warn',
  'due-soon': 'info',
  undetermined: 'unknown',
  'not-due': 'good',
};

/** A due item that can be taken on for the visit. */
export function DueRow({ item, ticked, doneWith, booking, suggestion, onTick }: DueRowProps) {
  const { locale } = useReader();
  const told = useTold();
  return (
    <li className={styles.item}>
      <label className={styles.tick}>
        <input type="checkbox" checked={ticked} onChange={onTick} />
        <span>
          {taskWords(item)}
          {item.safetyCritical ? (
            <>
              {' '}
              <span className={styles.safety}>Safety-critical</span>
            </>
          ) : null}
        </span>
      </label>
      <div className={styles.about}>
        <div className={styles.line}>
          <StateMark tone={TONES[item.state]}>{dueWords(item.state)}</StateMark>
          <span>{windowText(item, locale)}</span>
          <span className="soft">
            {item.labourMinutes === null ? 'no minutes known' : minutesText(item.labourMinutes)}
          </span>
          <Reasoning item={item} />
        </div>
        {item.missing.map(({ code, sentence }) => (
          <p key={code} className="small">
            {sentence}
          </p>
        ))}
        {booking === undefined ? null : (
          <p className="small">
            <strong>{stateWords(booking.state)}:</strong> <BookingLink booking={booking} />
          </p>
        )}
        {doneWith === undefined ? null : (
          <p className="small">
            <strong>Comes along:</strong> done with “{taskWords(doneWith)}”.
          </p>
        )}
        {suggestion?.worthwhile === true ? (
          <p className={styles.suggestion}>
            <strong>Worth doing now.</strong> {told(suggestion.sentence)}
          </p>
        ) : null}
      </div>
    </li>
  );
}

/** The working behind a date, read when somebody asks. */
function Reasoning({ item }: { item: DueItem }) {
  const [isOpen, setOpen] = useState(false);
  return (
    <details className={styles.reasoning} onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
      <summary className={styles.why}>
        Why<span className="unseen">: {taskWords(item)}</span>
      </summary>
      {isOpen ? <Explanation dueItemId={item.id} /> : null}
    </details>
  );
}

function Explanation({ dueItemId }: { dueItemId: string }) {
  const told = useTold();
  const { data, error } = useQuery(explainedItemQuery(dueItemId));
  if (data === undefined)
    return error === null ? <Waiting what="the reasoning" /> : <ProblemNotice error={error} />;
  return (
    <ul className="small">
      {data.explanation.map((line, index) => (
        <li key={index}>{told(line)}</li>
      ))}
    </ul>
  );
}

// beside the words of the state
const DUE_WORDS: Partial<Record<DueItem['state'], string>> = { overdue: 'was due', due: 'since' };

function windowText({ state, dueOn, earlyOn, lateOn, beyondHorizon }: DueItem, locale: string): string {
  if (dueOn === null) return beyondHorizon ? 'later than can be foreseen' : 'no date can be told';
  const due = `${DUE_WORDS[state] ?? 'due'} ${shortDay(dueOn, locale)}`;
  return earlyOn === null || lateOn === null ? due : `${due}, window ${rangeText(earlyOn, lateOn, locale)}`;
}
