import { useEffect, useRef, type CSSProperties } from 'react';
import { useWords } from './diary-words';
import type { Move } from './use-move';
import styles from './day-grid.module.css';

interface MoveGhostProps {
  move: Move;
  saving: boolean;
  style: CSSProperties;
}

/** Where the booking in hand would stand. What it says is read out elsewhere. */
export function MoveGhost({ move: { booking, to, dragged }, saving, style }: MoveGhostProps) {
  const { clock, mark } = useWords();
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (!dragged) place.current?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
  }, [dragged, to]);
  return (
    <div ref={place} className={styles.ghost} style={style} aria-hidden="true">
      <span className="digits">{clock(to.startsAt)}</span> {mark(booking)}
      {saving ? ' …' : ''}
    </div>
  );
}
