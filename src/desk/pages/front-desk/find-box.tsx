import { useEffect, useEffectEvent, useId, useRef, useState, type KeyboardEvent } from 'react';
import { ProblemNotice } from '../../design/notice';
import styles from './find-box.module.css';
import type { Found } from './found';
import { useFound } from './use-found';
import { useShortcut } from './use-shortcut';

// what the API takes
const LONGEST = 40;

interface FindBoxProps {
  /** nothing is on the page yet: whoever comes here types */
  takesFocus: boolean;
  /** takes the box away, or empties it by another key */
  onPick: (found: Found) => void;
}

/** One field for whatever the caller reads out: a combobox as the ARIA Authoring Practices Guide describes it. */
export function FindBox({ takesFocus, onPick }: FindBoxProps) {
  const id = useId();
  const field = useRef<HTMLInputElement>(null);
  const [typed, setTyped] = useState('');
  const [isOpen, setOpen] = useState(false);
  const [place, setPlace] = useState(0);
  /** Enter was pressed before the list was there */
  const [isAwaited, setAwaited] = useState(false);
  const { found, isCurrent, error } = useFound(typed);
  const isShown = isOpen && typed.trim() !== '' && found.length > 0;
  const active = found[Math.min(place, found.length - 1)];

  useShortcut('/', () => {
    field.current?.focus();
    field.current?.select();
  });
  const onAnswer = useEffectEvent(() => {
    const [first] = found;
    if (first !== undefined) onPick(first);
  });
  useEffect(() => {
    if (isAwaited && isCurrent) onAnswer();
  }, [isAwaited, isCurrent]);

  const onKeyDown = (event: KeyboardEvent): void => {
    const last = found.length - 1;
    const moves: Record<string, () => void> = {
      ArrowDown: () => setPlace(isShown ? (place >= last ? 0 : place + 1) : 0),
      ArrowUp: () => setPlace(isShown ? (place <= 0 ? last : place - 1) : last),
      Enter: () => (isCurrent && active !== undefined ? onPick(active) : setAwaited(typed.trim() !== '')),
      Escape: () => (isShown ? setOpen(false) : setTyped('')),
    };
    const move = moves[event.key];
    if (move === undefined || event.nativeEvent.isComposing) return;
    event.preventDefault();
    if (event.key.startsWith('Arrow')) setOpen(true);
    move();
  };
  return (
    <div role="search" className={`${styles.place} ${takesFocus ? styles.first : ''}`}>
      <label htmlFor={id}>Registration mark, fleet number, VIN or unit serial number</label>
      <input
        ref={field}
        id={id}
        className={styles.field}
        role="combobox"
        aria-expanded={isShown}
        aria-controls={`${id}-list`}
        aria-autocomplete="list"
        aria-activedescendant={isShown && active !== undefined ? `${id}-${active.id}` : undefined}
        aria-describedby={`${id}-hint`}
        aria-keyshortcuts="/"
        autoComplete="off"
        spellCheck={false}
        maxLength={LONGEST}
        autoFocus={takesFocus}
        value={typed}
        onChange={({ target }) => {
          setTyped(target.value);
          setPlace(0);
          setOpen(true);
          setAwaited(false);
        }}
        onKeyDown={onKeyDown}
        onBlur={() => setOpen(false)}
      />
      <p id={`${id}-hint`} className={takesFocus ? 'soft small' : 'unseen'}>
        A part is enough. Arrows and Enter choose.
      </p>
      <ul
        id={`${id}-list`}
        role="listbox"
        aria-label="What was found"
        className={styles.list}
        hidden={!isShown}
        aria-busy={!isCurrent}
      >
        {found.map((each, index) => (
          <li
            key={each.id}
            id={`${id}-${each.id}`}
            role="option"
            aria-selected={each === active}
            // the field keeps the focus, so that the list is not closed before the press arrives
            onMouseDown={(event) => event.preventDefault()}
            onMouseMove={() => setPlace(index)}
            onClick={() => onPick(each)}
          >
            <span className={styles.name}>{each.name}</span>{' '}
            <span className={styles.about}>{each.about}</span>
          </li>
        ))}
      </ul>
      <p role="status" className={isShown ? 'unseen' : 'soft'}>
        {statusText(typed, found, isCurrent && error === null)}
      </p>
      <ProblemNotice error={error} />
    </div>
  );
}

function statusText(typed: string, found: readonly Found[], isKnown: boolean): string {
  if (typed.trim() === '' || !isKnown) return '';
  if (found.length === 0)
    return `Nothing has "${typed.trim()}" in its mark, numbers or serial number. Ask the caller for another one.`;
  return `${found.length} found`;
}
