import { useState } from 'react';
import { Button } from '../../../design/button';
import { Dialog } from '../../../design/dialog';
import { StateMark, type Tone } from '../../../design/state-mark';
import { judgeStep } from '../job/judge-step';
import type { Link } from '../job/job-store';
import { shownEntry } from '../job/kept-job';
import styles from '../job.module.css';
import { CautionList } from './before-you-begin';
import type { JobPartProps } from './shared-props';

const LINKS: Record<Link, { tone: Tone; text: string }> = {
  stored: { tone: 'good', text: 'Everything is stored' },
  sending: { tone: 'info', text: 'Storing …' },
  'not-sent': { tone: 'warn', text: 'Kept on this device, not sent yet' },
  refused: { tone: 'bad', text: 'Not everything could be stored: see below' },
};

/** Stays in sight: the cautions, how far the job is, and where the entries are. */
export function JobBar({ store, state, by }: JobPartProps) {
  const [isReading, setReading] = useState(false);
  const { sheet, attempt } = state.job;
  const done = sheet.steps.filter(
    (step) => judgeStep(step, shownEntry(state.job, step.key), by).kind === 'judged',
  ).length;
  const { tone, text } = LINKS[state.link];
  return (
    <div className={`${styles.bar} screen-only`}>
      <Button kind="danger" onClick={() => setReading(true)}>
        Cautions
      </Button>
      <p>
        {done} of {sheet.steps.length} steps
      </p>
      <p role="status">
        <StateMark tone={tone}>
          {attempt !== null && state.link === 'not-sent' ? `Signed off. ${text}` : text}
        </StateMark>
      </p>
      {state.link === 'not-sent' ? <Button onClick={() => void store.send()}>Try now</Button> : null}
      {isReading ? (
        <Dialog title="Cautions of this job" onClose={() => setReading(false)}>
          <CautionList sheet={sheet} />
          <Button kind="main" onClick={() => setReading(false)}>
            Close
          </Button>
        </Dialog>
      ) : null}
    </div>
  );
}
