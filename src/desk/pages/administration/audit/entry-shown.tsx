import { Link } from 'wouter';
import { StateMark } from '../../../design/state-mark';
import { shownValue, wordsOf } from '../parts/words';
import { useMomentText } from '../parts/use-moment-text';
import styles from './audit.module.css';
import { differences } from './difference';
import type { AuditEntry } from './audit-entry';

/** One entry: who did what, and what is different since. */
export function EntryShown({ entry }: { entry: AuditEntry }) {
  const momentText = useMomentText();
  const { action, subjectType, subjectId, actor, recordedAt, vehicleId, before, after, seal } = entry;
  const changed = differences(before, after);
  return (
    <article className="sheet stack">
      <div className="row spread">
        <h3>
          {wordsOf(subjectType)} {wordsOf(action).toLowerCase()}
        </h3>
        {seal === null ? (
          <StateMark tone="info">not sealed yet</StateMark>
        ) : (
          <StateMark tone="good">sealed, place {seal.position}</StateMark>
        )}
      </div>
      <p>
        {momentText(recordedAt)}, by {actor}
        {vehicleId === null ? null : (
          <>
            , about <Link href={`/vehicles/${vehicleId}`}>a vehicle</Link>
          </>
        )}
      </p>
      <details>
        <summary>
          {changed.length === 1 ? 'One field' : `${changed.length} fields`}, record{' '}
          <span className="digits">{subjectId}</span>
        </summary>
        {changed.length === 0 ? (
          <p className="soft">Nothing in the record itself became different.</p>
        ) : (
          <div className="scroll" tabIndex={0} role="region" aria-label="What became different">
            <table className={styles.changes}>
              <thead>
                <tr>
                  <th scope="col">Field</th>
                  <th scope="col">Before</th>
                  <th scope="col">After</th>
                </tr>
              </thead>
              <tbody>
                {changed.map(({ place, before: was, after: is }) => (
                  <tr key={place}>
                    <th scope="row">{place.split(' / ').map(wordsOf).join(' / ')}</th>
                    <td>{was === undefined || was === null ? '–' : <del>{shownValue(was)}</del>}</td>
                    <td>{is === undefined || is === null ? '–' : <ins>{shownValue(is)}</ins>}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
        )}
      </details>
    </article>
  );
}
