import type { LayoutConclusions } from '../../../core/hydraulics/derive-from-layout';
import { Notice } from '../../design/notice';
import { StateMark, type Tone } from '../../design/state-mark';

const KNOWN: Record<string, { tone: Tone; text: string }> = {
  applies: { tone: 'good', text: 'applies' },
  'does-not-apply': { tone: 'info', text: 'does not apply' },
  unknown: { tone: 'unknown', text: 'unknown: look first' },
  expected: { tone: 'good', text: 'expected' },
  'not-expected': { tone: 'info', text: 'not expected' },
};

const FEEDS: Record<LayoutConclusions['rearBrakeFeed'], string> = {
  'rear-suspension': 'The rear suspension feeds the rear brakes.',
  'rear-brake-accumulator': 'The rear brake accumulator feeds the rear brakes.',
  nothing: 'Nothing feeds the rear brakes.',
  unknown: 'What feeds the rear brakes is not known.',
};
const SETTLING: Record<LayoutConclusions['overnightSettling'], string> = {
  normal: 'That is normal without anti-sink valves.',
  fault: 'That is a fault: anti-sink valves are fitted.',
  unknown: 'Whether that is a fault is not known before somebody has looked for anti-sink valves.',
};

const words = (code: string): string => code.replaceAll('-', ' ');
const sentence = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;

function Mark({ code }: { code: string }) {
  const { tone, text } = KNOWN[code] ?? { tone: 'unknown', text: words(code) };
  return <StateMark tone={tone}>{text}</StateMark>;
}

/** Everything that follows from a layout, contradictions and what can hurt somebody first. */
export function LayoutResult({ conclusions }: { conclusions: LayoutConclusions }) {
  const {
    rearBrakeFeed,
    overnightSettling,
    contradictions,
    safetyFindings,
    follows,
    inspections,
    positions,
    tests,
    manualNotes,
    cautions,
  } = conclusions;
  return (
    <>
      {contradictions.map(({ code, reason, remedy }) => (
        <Notice key={code} tone="bad" title={sentence(reason)} live>
          <p>{sentence(remedy)}</p>
        </Notice>
      ))}
      {safetyFindings.map(({ code, status, because, remedy }) => (
        <Notice key={code} tone={status === 'stands' ? 'bad' : 'warn'} title={sentence(because)}>
          <p>{sentence(remedy)}</p>
        </Notice>
      ))}
      <h3>Follows</h3>
      {follows.length === 0 ? <p className="soft">Nothing more than was seen.</p> : null}
      <ul>
        {follows.map(({ fact, value, because }) => (
          <li key={fact}>
            {words(value)}: {because}
          </li>
        ))}
      </ul>
      <h3>Still to be looked at</h3>
      {inspections.length === 0 ? <p className="soft">Nothing.</p> : null}
      <ul>
        {inspections.map(({ fact, lookAt, how, careful }) => (
          <li key={fact}>
            {sentence(lookAt)} {sentence(how)} {sentence(careful)}
          </li>
        ))}
      </ul>
      <h3>With the pump stopped</h3>
      <p>{FEEDS[rearBrakeFeed]}</p>
      <h3>If it settles overnight</h3>
      <p>{SETTLING[overnightSettling]}</p>
      <h3>Gas units</h3>
      <ul>
        {positions.map(({ position, unit }) => (
          <li key={position}>
            {words(position)}: <Mark code={unit} />
          </li>
        ))}
      </ul>
      <h3>Tests</h3>
      <ul>
        {tests.map(({ test, applicability, because }) => (
          <li key={test}>
            {words(test)}: <Mark code={applicability} /> <span className="soft">{because}</span>
          </li>
        ))}
      </ul>
      {manualNotes.length === 0 ? null : (
        <Notice tone="info" title="The maker's workshop manual rules here">
          <ul>
            {manualNotes.map(({ code, text }) => (
              <li key={code}>{text}</li>
            ))}
          </ul>
        </Notice>
      )}
      <h3>Source of the rules</h3>
      <p>Common practice, no published source.</p>
      <Notice tone="warn" title="Be careful">
        <ul>
          {cautions.map(({ code, text }) => (
            <li key={code}>{text}</li>
          ))}
        </ul>
      </Notice>
    </>
  );
}
