import type { InputHTMLAttributes, ReactNode } from 'react';
import { CheckField, Field, SelectField, TextField } from '../../../design/field';
import styles from './form-fields.module.css';

type KeysOf<Values, Kind> = { [Key in keyof Values]: Values[Key] extends Kind ? Key : never }[keyof Values] &
  string;

export interface Choice {
  value: string;
  name: string;
}

type Extra = Pick<
  InputHTMLAttributes<HTMLInputElement>,
  'required' | 'placeholder' | 'maxLength' | 'autoComplete'
> & {
  hint?: ReactNode;
  unit?: string;
};

/** The fields of a form, each with its value and with what is wrong with it. */
export class FormFields<Values extends object> {
  constructor(
    readonly values: Values,
    readonly set: (patch: Partial<Values>) => void,
    /** what is wrong at, or below, a place in the body, such as `name` or `rows/0/code` */
    readonly faultAt: (place: string) => string | null,
  ) {}

  text(key: KeysOf<Values, string>, label: string, extra: Extra = {}): ReactNode {
    return this.input('text', key, label, extra);
  }

  email(key: KeysOf<Values, string>, label: string, extra: Extra = {}): ReactNode {
    return this.input('email', key, label, extra);
  }

  number(key: KeysOf<Values, string>, label: string, extra: Extra = {}): ReactNode {
    return <TextField {...this.bound(key, label)} {...extra} inputMode="decimal" autoComplete="off" />;
  }

  date(key: KeysOf<Values, string>, label: string, extra: Extra = {}): ReactNode {
    return this.input('date', key, label, extra);
  }

  moment(key: KeysOf<Values, string>, label: string, extra: Extra = {}): ReactNode {
    return this.input('datetime-local', key, label, extra);
  }

  area(
    key: KeysOf<Values, string>,
    label: string,
    { hint, rows = 3 }: { hint?: ReactNode; rows?: number } = {},
  ) {
    return (
      <Field label={label} hint={hint} fault={this.faultAt(key)}>
        {(described) => (
          <textarea
            {...described}
            rows={rows}
            value={this.textOf(key)}
            onChange={({ target }) => this.put(key, target.value)}
          />
        )}
      </Field>
    );
  }

  select(
    key: KeysOf<Values, string>,
    label: string,
    choices: readonly Choice[],
    { hint, none, required }: { hint?: ReactNode; none?: string; required?: boolean } = {},
  ): ReactNode {
    return (
      <SelectField
        label={label}
        hint={hint}
        fault={this.faultAt(key)}
        required={required}
        value={this.textOf(key)}
        onChange={({ target }) => this.put(key, target.value)}
      >
        {none === undefined ? null : <option value="">{none}</option>}
        {choices.map(({ value, name }) => (
          <option key={value} value={value}>
            {name}
          </option>
        ))}
      </SelectField>
    );
  }

  check(key: KeysOf<Values, boolean>, label: string, hint?: ReactNode): ReactNode {
    return (
      <CheckField
        label={label}
        hint={hint}
        checked={this.values[key] as boolean}
        onChange={({ target }) => this.put(key, target.checked)}
      />
    );
  }

  /** Several of a list. */
  several(
    key: KeysOf<Values, string[]>,
    label: string,
    choices: readonly Choice[],
    hint?: ReactNode,
  ): ReactNode {
    const chosen = this.values[key] as string[];
    const fault = this.faultAt(key);
    return (
      <fieldset className={styles.group}>
        <legend>{label}</legend>
        {hint === undefined ? null : <p className="soft small">{hint}</p>}
        <div className={styles.choices}>
          {choices.map(({ value, name }) => (
            <CheckField
              key={value}
              label={name}
              checked={chosen.includes(value)}
              onChange={({ target }) =>
                this.put(key, target.checked ? [...chosen, value] : chosen.filter((each) => each !== value))
              }
            />
          ))}
        </div>
        <Fault text={fault} />
      </fieldset>
    );
  }

  private input(type: string, key: KeysOf<Values, string>, label: string, extra: Extra): ReactNode {
    return <TextField {...this.bound(key, label)} {...extra} type={type} />;
  }

  private bound(key: KeysOf<Values, string>, label: string) {
    return {
      label,
      fault: this.faultAt(key),
      value: this.textOf(key),
      autoComplete: 'off',
      onChange: ({ target }: { target: { value: string } }) => this.put(key, target.value),
    };
  }

  private textOf(key: KeysOf<Values, string>): string {
    return this.values[key] as string;
  }

  private put(key: keyof Values, value: unknown): void {
    this.set({ [key]: value } as Partial<Values>);
  }
}

/** What is wrong with a group of fields. */
export function Fault({ text }: { text: string | null }) {
  return text === null ? null : (
    <p className={styles.fault}>
      <span aria-hidden="true">▲ </span>
      {text}
    </p>
  );
}
