import { useId } from 'react';
import { StateMark } from '../../../design/state-mark';
import { pressureText } from '../../../format/units';
import { useReader } from '../../../session/session';
import { faultText } from '../job/field-fault';
import { shownEntry, type Step } from '../job/kept-job';
import { wordsOf } from '../job/step-fields';
import styles from '../job.module.css';
import { Conflicts } from './conflicts';
import { Exchange } from './exchange';
import type { JobPartProps } from './shared-props';
import { StepEntry } from './step-entry';
import { StepNotes } from './step-notes';
import { StopwatchPanel } from './stopwatch-panel';
import { Verdict } from './verdict';

interface StepCardProps extends JobPartProps {
  step: Step;
  number: number;
}

/** One step: what to do, what to enter, and what it shows at once. */
export function StepCard({ step, number, ...job }: StepCardProps) {
  const { pressureUnit, locale } = useReader();
  const titleId = useId();
  const { state } = job;
  const entry = shownEntry(state.job, step.key);
  const result = state.job.sheet.results.find(({ key }) => key === step.key);
  const { unit } = step;
  const where = step.position === null ? '' : wordsOf(step.position);
  const shown = (bar: number): string => pressureText(bar, pressureUnit, locale);
  const whole = state.faults.filter(({ stepKey, field }) => stepKey === step.key && field === null);
  return (
    <li className={`sheet ${styles.step}`}>
      <section aria-labelledby={titleId} className="stack">
        <header className="row spread">
          <h3 id={titleId}>
            {number}. {step.title}
            {where === '' || step.title.includes(where) ? '' : `, ${where}`}
          </h3>
          <p className="row small">
            {step.safetyCritical ? <StateMark tone="warn">Safety-critical</StateMark> : null}
            {step.beforeRelease ? <StateMark tone="info">Before release</StateMark> : null}
            {step.required ? null : <span className="soft">If there is time</span>}
          </p>
        </header>
        {unit === null ? null : (
          <p className={styles.limits}>
            Unit <strong>{unit.serialNumber}</strong> · nominal {shown(unit.nominal20BarGauge)} · limit{' '}
            {shown(unit.limit20BarGauge)}, at 20 °C
          </p>
        )}
        {step.instructions.length === 0 ? null : (
          <ul>
            {step.instructions.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        )}
        {step.task === 'regulator-cycle-test' ? <StopwatchPanel {...job} step={step} /> : null}
        <StepEntry {...job} step={step} entry={entry} />
        {whole.map((fault) => (
          <p key={fault.detail} role="alert" className={styles.fault}>
            ▲ {faultText(fault)}
          </p>
        ))}
        <Conflicts {...job} step={step} />
        <Verdict step={step} entry={entry} by={job.by} result={result} />
        {unit === null ? null : <Exchange {...job} step={step} entry={entry} />}
        <StepNotes {...job} step={step} entry={entry} />
      </section>
    </li>
  );
}
