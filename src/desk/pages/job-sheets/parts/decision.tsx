import { useEffect, useRef } from 'react';
import { Notice } from '../../../design/notice';
import { dayText } from '../../../format/days';
import { useReader } from '../../../session/session';
import { wordsOf } from '../job/step-fields';
import styles from '../job.module.css';
import type { JobPartProps } from './shared-props';

/** Released or held, big, with what decided it. */
export function Decision({ state }: JobPartProps) {
  const { locale } = useReader();
  const { sheet, place } = state.job;
  const { completed } = state;
  const decision = completed?.decision ?? sheet.decision;
  const head = useRef<HTMLHeadingElement>(null);
  const isNew = completed !== null;
  useEffect(() => {
    if (isNew) head.current?.focus();
  }, [isNew]);
  if (decision === null) return null;
  const reasons = completed?.reasons ?? sheet.reasons;
  const isReleased = decision === 'released';
  const signer = place?.technicians.find(({ id }) => id === sheet.signedOffBy);
  const moved = completed?.moved ?? [];
  const day = (on: string | null): string => (on === null ? 'not owed' : dayText(on, locale));
  return (
    <section className={`${styles.decision} ${isReleased ? styles.released : styles.held}`}>
      <h2 ref={head} tabIndex={-1}>
        <span aria-hidden="true">{isReleased ? '● ' : '■ '}</span>
        {isReleased ? 'Released' : 'Held: do not release to the road'}
      </h2>
      {reasons.length === 0 ? null : (
        <ul>
          {reasons.map((reason) => (
            <li key={reason}>{reason}</li>
          ))}
        </ul>
      )}
      {signer === undefined ? null : <p>Signed off by {signer.name}.</p>}
      {(completed?.warnings ?? []).map((warning) => (
        <Notice key={warning} tone="warn" title={warning} />
      ))}
      {moved.length === 0 ? null : (
        <details>
          <summary>Due dates that moved ({moved.length})</summary>
          <ul>
            {moved.map(({ key, title, position, dueOnBefore, dueOnAfter }) => (
              <li key={key}>
                {title}
                {position === null ? '' : `, ${wordsOf(position)}`}: {day(dueOnBefore)} → {day(dueOnAfter)}
              </li>
            ))}
          </ul>
        </details>
      )}
      <p className="small">
        The software advises. The vehicle maker&apos;s manual, local law and a licensed person decide.
      </p>
    </section>
  );
}
