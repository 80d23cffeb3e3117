import { useEffect, useRef, type KeyboardEvent } from 'react';
import { ProblemError } from '../../api/problem';
import { Button } from '../../design/button';
import { Notice, ProblemNotice } from '../../design/notice';
import { useWords } from './diary-words';
import { placeOfFreeTime, type FreeTime, type Place, type Refusal } from './use-move';
import styles from './move-bar.module.css';

const MOST = 3;

interface RefusalBarProps {
  refusal: Refusal;
  /** where the booking stands, in words */
  stands: string;
  saving: boolean;
  onTake: (to: Place) => void;
  onLeave: () => void;
}

/** Why a booking was not moved, and the nearest times that are free, each taken with one press. */
export function RefusalBar({ refusal, stands, saving, onTake, onLeave }: RefusalBarProps) {
  const { mark } = useWords();
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => place.current?.focus(), [refusal]);
  const { booking, error } = refusal;
  const freeTimes = error instanceof ProblemError ? (error.problem.freeTimes ?? []).slice(0, MOST) : [];
  const [nearest] = freeTimes;
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const takes = event.key.toLowerCase() === 't' && nearest !== undefined;
    if (event.key !== 'Escape' && !takes) return;
    event.preventDefault();
    if (takes) onTake(placeOfFreeTime(nearest));
    else onLeave();
  };
  return (
    <div
      ref={place}
      role="group"
      aria-label={`${mark(booking)} was not moved`}
      tabIndex={-1}
      className={styles.bar}
      onKeyDown={onKeyDown}
    >
      {nearest === undefined || !(error instanceof ProblemError) ? (
        <ProblemNotice error={error} />
      ) : (
        <Notice tone="bad" title={error.problem.detail} live>
          <p>Take one of the free times, or leave it.</p>
        </Notice>
      )}
      <p>
        <strong>{mark(booking)}</strong> stands where it was: {stands}.
      </p>
      <div className="row">
        {freeTimes.map((freeTime, index) => (
          <Button
            key={`${freeTime.startsAt} ${freeTime.bayId}`}
            kind={index === 0 ? 'main' : 'plain'}
            keys={index === 0 ? 'T' : undefined}
            busy={saving}
            onClick={() => onTake(placeOfFreeTime(freeTime))}
          >
            {`Take ${freeTimeText(freeTime)}`}
          </Button>
        ))}
        <Button onClick={onLeave}>Leave it</Button>
      </div>
    </div>
  );
}

const freeTimeText = ({ inWords, bayName, technicians }: FreeTime): string =>
  `${inWords}, ${bayName}, ${technicians.map(({ name }) => name).join(', ')}`;
