import { Notice } from '../../../design/notice';
import type { Programme } from './programme-reads';

/** Where the figures come from; loud where nobody has confirmed them. */
export function OriginNotice({ programme: { origin, originNote } }: { programme: Programme }) {
  if (originNote === '') return null;
  return (
    <Notice tone={origin === 'starter' ? 'warn' : 'info'} title={`Figures: ${originNote}`}>
      {origin === 'starter' ? (
        <p>
          It began with the starter rules. The software advises; the maker’s manual, local law and a licensed
          person decide.
        </p>
      ) : null}
    </Notice>
  );
}
