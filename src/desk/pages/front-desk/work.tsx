import { useRef } from 'react';
import { ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import type { CallDraft } from './call-draft';
import { DueRow } from './due-row';
import { ExtraWorkList } from './extra-work-list';
import type { Booking, DueItem, Suggestion } from './front-desk-queries';
import { KeyButton } from './key-button';
import { useShortcut } from './use-shortcut';
import { doneWith, inOrder, mayBeDone, toggled } from './visit-tasks';
import styles from './work.module.css';

interface WorkProps {
  items: readonly DueItem[] | undefined;
  error: unknown;
  ticks: readonly string[];
  /** the visits at which items are done already, by key */
  booked: ReadonlyMap<string, Booking>;
  suggestions: readonly Suggestion[];
  extraWork: CallDraft['extraWork'];
  /** the time is held for the work as it is */
  isSettled: boolean;
  onChange: (part: Pick<Partial<CallDraft>, 'ticks' | 'extraWork'>) => void;
}

/** What the visit is for: what is due, what else is worth doing, and what the caller asks for. */
export function Work({
  items,
  error,
  ticks,
  booked,
  suggestions,
  extraWork,
  isSettled,
  onChange,
}: WorkProps) {
  const list = useRef<HTMLDivElement>(null);
  useShortcut('W', () => list.current?.querySelector<HTMLElement>('input')?.focus());
  const worthwhile = suggestions.flatMap((each) => (each.worthwhile ? [each.dueItemKey] : []));
  // without work there is no visit to compare with
  const isIdle = ticks.length + extraWork.length === 0;
  const proposed = isIdle ? mayBeDone(items ?? [], booked) : worthwhile;
  const isUpFront = ({ state, key }: DueItem): boolean =>
    state !== 'not-due' || ticks.includes(key) || worthwhile.includes(key);
  const ordered = inOrder(items ?? []);
  const later = ordered.filter((item) => !isUpFront(item));
  const row = (item: DueItem) => (
    <DueRow
      key={item.key}
      item={item}
      ticked={ticks.includes(item.key)}
      booking={booked.get(item.key)}
      doneWith={doneWith(item, ordered, ticks)}
      suggestion={suggestions.find(({ dueItemKey }) => dueItemKey === item.key)}
      onTick={() => onChange({ ticks: toggled(ticks, item.key) })}
    />
  );
  return (
    <section className="sheet" aria-labelledby="work">
      <fieldset disabled={isSettled} className={styles.work}>
        <legend className="unseen">Work of this visit</legend>
        <div className="row spread">
          <h2 id="work">Work of this visit</h2>
          {proposed.length === 0 || isSettled ? null : (
            <KeyButton shortcut="A" onClick={() => onChange({ ticks: [...ticks, ...proposed] })}>
              Take on {proposed.length} {isIdle ? 'that may be done now' : 'worth doing now'}
            </KeyButton>
          )}
        </div>
        <ProblemNotice error={error} />
        {items === undefined && error === null ? <Waiting what="what is due" /> : null}
        {items?.length === 0 ? <p className="soft">Nothing is known to be due on this vehicle.</p> : null}
        <div ref={list}>
          <ul className={styles.items}>{ordered.filter(isUpFront).map(row)}</ul>
          {later.length === 0 ? null : (
            <details>
              <summary className={styles.later}>{later.length} not due yet</summary>
              <ul className={styles.items}>{later.map(row)}</ul>
            </details>
          )}
        </div>
        <ExtraWorkList
          extraWork={extraWork}
          competences={[...new Set(ordered.flatMap(({ competences }) => competences))].sort()}
          onChange={(next) => onChange({ extraWork: next })}
        />
      </fieldset>
    </section>
  );
}
