import { useId, type InputHTMLAttributes, type ReactNode, type SelectHTMLAttributes } from 'react';
import styles from './field.module.css';

interface FieldFrame {
  label: ReactNode;
  /** what to enter, before anything goes wrong */
  hint?: ReactNode;
  /** what is wrong and what to do about it */
  fault?: ReactNode;
  /** stands behind the value, such as `bar` */
  unit?: string;
}

interface Described {
  id: string;
  'aria-describedby': string | undefined;
  'aria-invalid': boolean | undefined;
}

/** A label, a control, and what helps or is wrong, tied together for whoever hears the page. */
export function Field({
  label,
  hint,
  fault,
  unit,
  children,
}: FieldFrame & { children: (described: Described) => ReactNode }) {
  const id = useId();
  const [hintId, faultId] = [`${id}-hint`, `${id}-fault`];
  const hasFault = fault !== undefined && fault !== null && fault !== '';
  const describedBy = [hint === undefined ? '' : hintId, hasFault ? faultId : ''].join(' ').trim();
  return (
    <div className={styles.field}>
      <label htmlFor={id}>{label}</label>
      <div className={styles.control}>
        {children({
          id,
          'aria-describedby': describedBy === '' ? undefined : describedBy,
          'aria-invalid': hasFault ? true : undefined,
        })}
        {unit === undefined ? null : <span className={styles.unit}>{unit}</span>}
      </div>
      {hint === undefined ? null : (
        <p id={hintId} className={styles.hint}>
          {hint}
        </p>
      )}
      {hasFault ? (
        <p id={faultId} className={styles.fault}>
          <span aria-hidden="true">▲ </span>
          {fault}
        </p>
      ) : null}
    </div>
  );
}

/** A line of text or a number; what `register` of a form gives can be spread into it. */
export function TextField({
  label,
  hint,
  fault,
  unit,
  ...input
}: FieldFrame & InputHTMLAttributes<HTMLInputElement> & { ref?: React.Ref<HTMLInputElement> }) {
  return (
    <Field {...{ label, hint, fault, unit }}>{(described) => <input {...input} {...described} />}</Field>
  );
}

export function SelectField({
  label,
  hint,
  fault,
  children,
  ...select
}: Omit<FieldFrame, 'unit'> &
  SelectHTMLAttributes<HTMLSelectElement> & { ref?: React.Ref<HTMLSelectElement> }) {
  return (
    <Field {...{ label, hint, fault }}>
      {(described) => (
        <select {...select} {...described}>
          {children}
        </select>
      )}
    </Field>
  );
}

/** A box to tick with its text beside it. */
export function CheckField({
  label,
  hint,
  ...input
}: Pick<FieldFrame, 'label' | 'hint'> &
  InputHTMLAttributes<HTMLInputElement> & { ref?: React.Ref<HTMLInputElement> }) {
  const id = useId();
  return (
    <div className={styles.check}>
      <input
        {...input}
        type="checkbox"
        id={id}
        aria-describedby={hint === undefined ? undefined : `${id}-hint`}
      />
      <label htmlFor={id}>{label}</label>
      {hint === undefined ? null : (
        <p id={`${id}-hint`} className={styles.hint}>
          {hint}
        </p>
      )}
    </div>
  );
}
