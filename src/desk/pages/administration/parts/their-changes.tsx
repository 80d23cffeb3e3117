import { Notice } from '../../../design/notice';
import type { TheirChange } from './three-way';
import { shownValue, wordsOf } from './words';

/** What somebody else changed meanwhile, and what became of it in the form. */
export function TheirChanges({ changes }: { changes: readonly TheirChange[] }) {
  return (
    <Notice tone="warn" title="Somebody else has changed this in the meantime." live>
      {changes.length === 0 ? (
        <p>None of the fields above is concerned. Look through them once more, then keep them.</p>
      ) : (
        <ul>
          {changes.map(({ key, was, theirs, mine, bothChanged }) => (
            <li key={key}>
              {wordsOf(key)}: was {shownValue(was)}, is now {shownValue(theirs)}.{' '}
              {bothChanged
                ? `You have entered ${shownValue(mine)}, which stays in the form.`
                : 'The form shows it.'}
            </li>
          ))}
        </ul>
      )}
    </Notice>
  );
}
