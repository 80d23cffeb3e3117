import { useEffect, useRef, type KeyboardEvent } from 'react';
import { Button } from '../../design/button';
import styles from './move-bar.module.css';

/** What a key or a button does with the booking in hand. */
export type MoveStep = { quarters: number } | { days: number } | { columns: number } | 'keep' | 'give-up';

const STEPS: Readonly<Record<string, MoveStep>> = {
  ArrowUp: { quarters: -1 },
  ArrowDown: { quarters: 1 },
  ArrowLeft: { columns: -1 },
  ArrowRight: { columns: 1 },
  PageUp: { days: -1 },
  PageDown: { days: 1 },
  Escape: 'give-up',
};

const HOURS: Readonly<Record<string, MoveStep>> = {
  ArrowUp: { quarters: -4 },
  ArrowDown: { quarters: 4 },
};

interface MoveBarProps {
  /** such as `TV24 KBD` */
  mark: string;
  by: 'bays' | 'people';
  /** where it would stand and what is known to be in the way */
  text: string;
  keepsStart: boolean;
  saving: boolean;
  onStep: (step: MoveStep) => void;
}

/** A booking in hand: by keys while the bar has the focus, by its buttons for fingers. */
export function MoveBar({ mark, by, text, keepsStart, saving, onStep }: MoveBarProps) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => place.current?.focus(), []);
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    // Enter on one of the buttons presses that button
    const step =
      event.key === 'Enter' && event.target === place.current
        ? 'keep'
        : ((event.shiftKey ? HOURS[event.key] : undefined) ?? STEPS[event.key]);
    if (step === undefined) return;
    event.preventDefault();
    onStep(step);
  };
  const column = by === 'bays' ? 'bay' : 'person';
  return (
    // an application: whoever hears the page has the arrow keys handed on to it
    <div
      ref={place}
      role="application"
      aria-label={`Moving ${mark}. ${keepsStart ? '' : 'Up and down: a quarter of an hour. '}Left and right: ${column}. Enter keeps, Escape gives up.`}
      tabIndex={-1}
      className={styles.bar}
      onKeyDown={onKeyDown}
    >
      <p>
        <strong>{mark}</strong> to {text}
      </p>
      <div className="row">
        {keepsStart ? (
          <p className="small soft">The vehicle is here: its start stays.</p>
        ) : (
          <>
            <Button onClick={() => onStep({ quarters: -1 })}>15 min earlier</Button>
            <Button onClick={() => onStep({ quarters: 1 })}>15 min later</Button>
            <Button onClick={() => onStep({ days: -1 })}>Day before</Button>
            <Button onClick={() => onStep({ days: 1 })}>Day after</Button>
          </>
        )}
        <Button onClick={() => onStep({ columns: -1 })}>
          {by === 'bays' ? 'Bay before' : 'Person before'}
        </Button>
        <Button onClick={() => onStep({ columns: 1 })}>{by === 'bays' ? 'Bay after' : 'Person after'}</Button>
        <Button kind="main" busy={saving} onClick={() => onStep('keep')}>
          Keep
        </Button>
        <Button onClick={() => onStep('give-up')}>Give up</Button>
      </div>
    </div>
  );
}
