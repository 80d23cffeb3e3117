import styles from './state-mark.module.css';
import { SHAPES, type Tone } from './tone';

export type { Tone };

export function StateMark({ tone, children }: { tone: Tone; children: React.ReactNode }) {
  return (
    <span className={`${styles.mark} ${styles[tone]}`}>
      <svg viewBox="0 0 16 16" aria-hidden="true">
        <path d={SHAPES[tone]} />
      </svg>
      {children}
    </span>
  );
}
