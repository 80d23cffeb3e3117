import type { Schemas } from '../../../api/client';
import type { StepOutcome } from '../../../../core/job-sheet/release-verdict';
import { StateMark, type Tone } from '../../../design/state-mark';
import { pressureText } from '../../../format/units';
import { useReader } from '../../../session/session';
import { judgeStep, type JudgedBy } from '../job/judge-step';
import type { Entry, Step } from '../job/kept-job';
import styles from '../job.module.css';

const OUTCOMES: Record<StepOutcome, { tone: Tone; text: string }> = {
  passed: { tone: 'good', text: 'Passed' },
  failed: { tone: 'bad', text: 'Failed' },
  inconclusive: { tone: 'warn', text: 'Not certain' },
  done: { tone: 'good', text: 'Done' },
  'not-done': { tone: 'unknown', text: 'Not done' },
};

interface VerdictProps {
  step: Step;
  entry: Entry;
  by: JudgedBy;
  /** once the job is completed */
  result: Schemas['StepResultDto'] | undefined;
}

/** What the entries of a step show, by the limits of the sheet; once the job is completed, how it was judged. */
export function Verdict({ step, entry, by, result }: VerdictProps) {
  const { pressureUnit, locale } = useReader();
  const judgement = judgeStep(step, entry, by);
  if (result === undefined && judgement.kind !== 'judged') return null;
  const precharge = judgement.kind === 'judged' ? judgement.precharge20BarGauge : null;
  const reasons = result?.reasons ?? (judgement.kind === 'judged' ? judgement.reasons : []);
  const outcome = result?.outcome ?? (judgement.kind === 'judged' ? judgement.outcome : 'not-done');
  const { tone, text } = OUTCOMES[outcome];
  return (
    <div className={styles.verdict} role="status">
      <p className={styles.outcome}>
        <StateMark tone={tone}>{text}</StateMark>
        {precharge === null ? null : (
          <span className="digits"> {pressureText(precharge, pressureUnit, locale)} at 20 °C</span>
        )}
      </p>
      {reasons.map((reason) => (
        <p key={reason}>{reason}</p>
      ))}
    </div>
  );
}
