import { useRef } from 'react';
import { ProblemError } from '../../api/problem';
import { Field, TextField } from '../../design/field';
import { useShortcut } from './use-shortcut';

interface CallerFieldsProps {
  contact: string;
  note: string;
  /** of the last attempt to send it */
  error: unknown;
  onChange: (part: { contact?: string; note?: string }) => void;
}

/** Who called, and what is to be remembered. */
export function CallerFields({ contact, note, error, onChange }: CallerFieldsProps) {
  const field = useRef<HTMLInputElement>(null);
  useShortcut('C', () => field.current?.focus());
  const faultAt = (pointer: string): string | null => {
    const fault = error instanceof ProblemError ? error.at(pointer) : undefined;
    return fault === undefined ? null : `${fault.detail}: ${fault.remedy}`;
  };
  return (
    <>
      <TextField
        ref={field}
        label="Who called, and how to reach them"
        autoComplete="off"
        aria-keyshortcuts="C"
        value={contact}
        fault={faultAt('#/contact')}
        onChange={({ target }) => onChange({ contact: target.value })}
      />
      <Field label="Note for the workshop" fault={faultAt('#/note')}>
        {(described) => (
          <textarea
            {...described}
            rows={2}
            value={note}
            onChange={({ target }) => onChange({ note: target.value })}
          />
        )}
      </Field>
    </>
  );
}
