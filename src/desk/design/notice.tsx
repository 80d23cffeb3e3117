import type { ReactNode } from 'react';
import { faultText, NotReached, ProblemError } from '../api/problem';
import styles from './notice.module.css';

const MARKS = { info: 'i', good: '✓', warn: '▲', bad: '■' } as const;

interface NoticeProps {
  tone: keyof typeof MARKS;
  title: ReactNode;
  children?: ReactNode;
  /** read out at once, because it answers what was just done */
  live?: boolean;
}

export function Notice({ tone, title, children, live = false }: NoticeProps) {
  const role = live ? (tone === 'bad' ? 'alert' : 'status') : undefined;
  return (
    <div className={`${styles.notice} ${styles[tone]}`} role={role}>
      <span className={styles.mark} aria-hidden="true">
        {MARKS[tone]}
      </span>
      <div>
        <p className={styles.title}>{title}</p>
        {children}
      </div>
    </div>
  );
}

/** What was refused, why, and what to do about it; nothing where there is no error. */
export function ProblemNotice({ error }: { error: unknown }) {
  if (error === null || error === undefined) return null;
  if (!(error instanceof ProblemError)) {
    const text = error instanceof NotReached ? error.message : 'Something went wrong on this page.';
    return (
      <Notice tone="bad" title={text} live>
        <p>Try again in a moment.</p>
      </Notice>
    );
  }
  const { title, detail, remedy, errors = [], requestId } = error.problem;
  return (
    <Notice tone="bad" title={detail === '' ? title : detail} live>
      {errors.length === 0 ? <p>{remedy}</p> : null}
      {errors.length === 0 ? null : (
        <ul>
          {errors.map((each, index) => (
            <li key={index}>{faultText(each)}</li>
          ))}
        </ul>
      )}
      {error.status >= 500 ? <p className="small">Request {requestId}</p> : null}
    </Notice>
  );
}
