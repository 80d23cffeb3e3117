import { useState } from 'react';
import { CheckField, TextField } from '../../../design/field';
import { faultText } from '../job/field-fault';
import type { Entry, Step } from '../job/kept-job';
import type { JobPartProps } from './shared-props';

interface StepNotesProps extends JobPartProps {
  step: Step;
  entry: Entry;
}

/** A note, or the reason why a step was not done. */
export function StepNotes({ store, state, isOpen, step, entry }: StepNotesProps) {
  const reason = entry.notDone ?? null;
  const [isLeft, setLeft] = useState(reason !== null);
  const faultAt = (field: string): string | undefined => {
    const fault = state.faults.find((each) => each.stepKey === step.key && each.field === field);
    return fault === undefined ? undefined : faultText(fault);
  };
  const text = (value: string): string | null => (value.trim() === '' ? null : value);
  return (
    <div className="stack">
      <TextField
        label="Note (may be left out)"
        value={entry.note ?? ''}
        maxLength={2_000}
        fault={faultAt('note')}
        disabled={!isOpen}
        onChange={({ target }) => store.edit(step.key, { note: text(target.value) })}
      />
      <CheckField
        label="Not done"
        checked={isLeft || reason !== null}
        disabled={!isOpen}
        onChange={({ target }) => {
          setLeft(target.checked);
          if (!target.checked) store.edit(step.key, { notDone: null });
        }}
      />
      {isLeft || reason !== null ? (
        <TextField
          label="Why it was not done"
          value={reason ?? ''}
          maxLength={500}
          fault={reason === null ? 'Say why, or take the tick away.' : faultAt('notDone')}
          disabled={!isOpen}
          onChange={({ target }) => store.edit(step.key, { notDone: text(target.value) })}
        />
      ) : null}
    </div>
  );
}
