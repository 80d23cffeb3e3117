import { Notice } from '../../../design/notice';
import { strayEntries, type KeptJob } from '../job/kept-job';

/** What was typed for steps that somebody took off the sheet meanwhile: shown, so that it is not lost unseen. */
export function StrayEntries({ job }: { job: KeptJob }) {
  const stray = strayEntries(job);
  if (stray.length === 0) return null;
  return (
    <Notice tone="warn" title="The sheet was made anew: these entries belong to steps that it no longer has">
      <ul>
        {stray.map(([key, fields]) => (
          <li key={key}>
            {key}:{' '}
            {Object.entries(fields)
              .map(([field, value]) => `${field} ${String(value)}`)
              .join(', ')}
          </li>
        ))}
      </ul>
    </Notice>
  );
}
