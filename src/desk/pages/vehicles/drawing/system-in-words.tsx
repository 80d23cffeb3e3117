import { Link } from 'wouter';
import { StateMark } from '../../../design/state-mark';
import type { SystemDrawing } from './scheme';
import { systemInWords } from './system-words';

/** What the drawing shows, as a list: for whoever hears the page, for narrow screens and for paper. */
export function SystemInWords({ drawing, of }: { drawing: SystemDrawing; of: string }) {
  const units = new Map(drawing.parts.map(({ id, unit }) => [id, unit]));
  return (
    <details>
      <summary>The same in words</summary>
      <ul aria-label={`Parts of the fluid system of ${of}`}>
        {systemInWords(drawing).map(({ id, name, notes, feeds }) => {
          const unit = units.get(id);
          // how a unit is stands behind its mark
          const told = notes.filter(
            (note) => unit?.condition.tone === 'none' || note !== unit?.condition.words,
          );
          return (
            <li key={id}>
              {unit === undefined || unit.gasUnitId === null ? (
                name
              ) : (
                <Link href={`/units/${unit.gasUnitId}`}>{name}</Link>
              )}
              {told.length === 0 ? '' : `: ${told.join(', ')}`}
              {unit === undefined || unit.condition.tone === 'none' ? null : (
                <>
                  {' '}
                  <StateMark tone={unit.condition.tone}>{unit.condition.words}</StateMark>
                </>
              )}
              {feeds.length === 0 ? '' : `. Leads to: ${feeds.join('; ').toLowerCase()}`}
            </li>
          );
        })}
      </ul>
    </details>
  );
}
