import { Notice } from '../../design/notice';
import type { Answer, ResultLine } from './calculator';
import { resultText, type FigureReader } from './measures';
import styles from './calculators.module.css';

/** What came out, how, where it holds, and what to be careful with. */
export function WorkedResult({ answer, reader }: { answer: Answer; reader: FigureReader }) {
  if (answer.kind === 'open') return <p role="status">Still needed: {answer.missing.join(', ')}.</p>;
  if (answer.kind === 'refused')
    return (
      <Notice tone="bad" title={`${answer.detail}.`} live>
        <p>{answer.remedy}.</p>
      </Notice>
    );
  const { lines, sentences, method, validity, cautions } = answer.worked;
  const of = (wanted: (line: ResultLine) => boolean): ResultLine[] => lines.filter(wanted);
  const ideal = of(({ isIdeal }) => isIdeal === true);
  return (
    <>
      <div role="status" className="stack">
        <Lines lines={of(({ isMain }) => isMain === true)} reader={reader} className={styles.main} />
        {sentences.map((sentence) => (
          <p key={sentence}>{sentence}</p>
        ))}
        <Lines lines={of(({ isMain, isIdeal }) => isMain !== true && isIdeal !== true)} reader={reader} />
      </div>
      {ideal.length === 0 ? null : (
        <>
          <h3>By the formula for an ideal gas, to compare only</h3>
          <Lines lines={ideal} reader={reader} />
        </>
      )}
      <h3>Method</h3>
      <p>{method}</p>
      <h3>Where it holds, and by what source</h3>
      <p>{validity}</p>
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

interface LinesProps {
  lines: readonly ResultLine[];
  reader: FigureReader;
  className?: string | undefined;
}

function Lines({ lines, reader, className = '' }: LinesProps) {
  if (lines.length === 0) return null;
  return (
    <dl className={`${styles.lines} ${className}`}>
      {lines.map(({ label, value, measure }) => (
        <div key={label}>
          <dt>{label}</dt>
          <dd>{resultText(value, measure, reader)}</dd>
        </div>
      ))}
    </dl>
  );
}
