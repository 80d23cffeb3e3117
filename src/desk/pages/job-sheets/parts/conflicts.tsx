import { Button } from '../../../design/button';
import { Notice } from '../../../design/notice';
import { useReader } from '../../../session/session';
import { shownEntry, type EntryValue, type Step } from '../job/kept-job';
import { figureText, unitOf } from '../job/quantities';
import { stepFields } from '../job/step-fields';
import type { JobPartProps } from './shared-props';

/** Fields that two people filled differently, side by side. */
export function Conflicts({ store, state, isOpen, step }: JobPartProps & { step: Step }) {
  const reader = useReader();
  const conflicts = state.job.conflicts.filter(({ stepKey }) => stepKey === step.key);
  const entry = shownEntry(state.job, step.key);
  const text = (field: string, value: EntryValue): string => {
    const known = stepFields(step).find((each) => each.field === field);
    if (known?.type === 'number' && typeof value === 'number') {
      const unit = unitOf(known.quantity, reader, state.job.place?.odometerUnit ?? 'km') ?? '';
      return `${figureText(value, known.quantity, reader)} ${unit}`.trim();
    }
    if (value === null || value === undefined) return 'nothing';
    return typeof value === 'object' ? Object.values(value).join(', ') : String(value);
  };
  return conflicts.map((conflict) => {
    const label = stepFields(step).find(({ field }) => field === conflict.field)?.label ?? conflict.field;
    return (
      <Notice key={conflict.field} tone="warn" title={`Somebody else filled “${label}” meanwhile`} live>
        <dl>
          <dt>Yours</dt>
          <dd>{text(conflict.field, entry[conflict.field] ?? null)}</dd>
          <dt>Theirs</dt>
          <dd>{text(conflict.field, conflict.theirs)}</dd>
        </dl>
        {isOpen ? (
          <div className="row">
            <Button onClick={() => store.decide(conflict, true)}>Keep mine</Button>
            <Button onClick={() => store.decide(conflict, false)}>Take theirs</Button>
          </div>
        ) : null}
      </Notice>
    );
  });
}
