import type { Schemas } from '../../../api/client';
import { Notice } from '../../../design/notice';
import { asSentence, inWords } from '../../../format/words';
import { FACT_NAMES, factsInWords, valueWords } from './facts';

const SETTLING = {
  normal: 'It settles overnight: that is normal without anti-sink valves.',
  fault: 'Settling overnight is a fault here: the anti-sink valves should hold it.',
  unknown: 'Nobody can tell whether settling overnight is normal: anti-sink valves are not verified.',
} as const;

/** What follows from the layout and bears on safety, where the manual rules, and what is still to be looked at. */
export function Findings({ derived }: { derived: Schemas['LayoutConclusionsDto'] }) {
  const { safetyFindings, manualNotes, follows, inspections, overnightSettling } = derived;
  return (
    <>
      {safetyFindings.map(({ code, status, because, remedy }) => (
        <Notice
          key={code}
          tone={status === 'stands' ? 'bad' : 'warn'}
          title={
            status === 'stands'
              ? 'Safety-critical: the rear brakes have no reserve'
              : 'Possibly safety-critical: look at the rear brakes first'
          }
        >
          <p>
            {asSentence(factsInWords(because))}. {asSentence(factsInWords(remedy))}.
          </p>
        </Notice>
      ))}
      {manualNotes.map(({ code, text }) => (
        <Notice key={code} tone="info" title="The maker's workshop manual rules">
          <p>{text}</p>
        </Notice>
      ))}
      {follows.length === 0 ? null : (
        <Notice tone="info" title="Certain, although nobody has recorded it">
          <ul>
            {follows.map(({ fact, value, because }) => (
              <li key={fact}>
                {FACT_NAMES[fact]}: {valueWords(value)}, because {factsInWords(because)}.
              </li>
            ))}
          </ul>
        </Notice>
      )}
      <p>{SETTLING[overnightSettling]}</p>
      {inspections.length === 0 ? null : (
        <details className="sheet">
          <summary>
            Still to be looked at: {inspections.map(({ fact }) => FACT_NAMES[fact].toLowerCase()).join(', ')}
          </summary>
          <ul className="stack">
            {inspections.map(({ fact, urgency, lookAt, how, careful, why }) => (
              <li key={fact}>
                <strong>{FACT_NAMES[fact]}</strong> ({inWords(why).toLowerCase()};{' '}
                {urgency === 'before-work' ? 'before anybody works on it' : 'at the next visit'}): {lookAt}.{' '}
                {how}.
                <br />
                <strong>Careful:</strong> {asSentence(careful)}.
              </li>
            ))}
          </ul>
        </details>
      )}
    </>
  );
}
