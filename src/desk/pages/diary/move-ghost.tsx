import type { CSSProperties } from 'react';
import { useWords } from './diary-words';
import type { Move } from './use-move';
import styles from './day-grid.module.css';

interface MoveGhostProps {
  move: Move;
  saving: boolean;
  style: CSSProperties;
}

/** Where the booking in hand would stand. What it says is read out elsewhere. */
export function MoveGhost({ move: { booking, to }, saving, style }: MoveGhostProps) {
  const { clock, mark } = useWords();
  return (
    <div className={styles.ghost} style={style} aria-hidden="true">
      <span className="digits">{clock(to.startsAt)}</span> {mark(booking)}
      {saving ? ' …' : ''}
    </div>
  );
}
