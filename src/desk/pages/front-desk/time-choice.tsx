import { dayText, timeText } from '../../format/days';
import { useReader } from '../../session/session';
import type { FreeTime } from './front-desk-queries';
import { KeyButton } from './key-button';
import { localDay, spanText } from './offers';
import styles from './times.module.css';

interface TimeChoiceProps {
  time: FreeTime;
  /** 1 to 9 */
  number: number;
  isChosen: boolean;
  /** the work has changed since, other times are on their way */
  isOld: boolean;
  /** the list is not of one workshop */
  showsWorkshop: boolean;
  transferMinutes: number | undefined;
  onChoose: (time: FreeTime) => void;
}

/** A free time as it would be read out to the caller. */
export function TimeChoice(choice: TimeChoiceProps) {
  const { time, number, isChosen, isOld, showsWorkshop, transferMinutes, onChoose } = choice;
  const { locale } = useReader();
  const { startsAt, endsAt, zone, bayFromAt } = time;
  return (
    <KeyButton
      shortcut={String(number)}
      className={`${styles.time} ${isChosen ? styles.chosen : ''}`}
      aria-pressed={isChosen}
      disabled={isOld}
      onClick={() => onChoose(time)}
    >
      <span className={styles.words}>
        <span className={styles.when}>
          {dayText(localDay(startsAt, zone), locale)}, {spanText(startsAt, endsAt, zone, locale)}
        </span>
        <span>
          {showsWorkshop ? `${time.workshopName}, ` : ''}
          {time.bayName}, with {time.technicians.map(({ name }) => name).join(' and ')}
        </span>
        <span className="small">
          Bring it by {timeText(bayFromAt, zone, locale)}
          {transferMinutes === undefined || transferMinutes === 0
            ? ''
            : `; ${transferMinutes} min of driving, there and back`}
        </span>
      </span>
    </KeyButton>
  );
}
