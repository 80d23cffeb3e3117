import { CheckField, SelectField, TextField } from '../../../design/field';
import { faultText, type EntryFault } from '../job/field-fault';
import { judgeStep } from '../job/judge-step';
import type { Entry, EntryField, EntryValue, Step } from '../job/kept-job';
import { stepFields, type StepField } from '../job/step-fields';
import styles from '../job.module.css';
import { FigureField } from './figure-field';
import type { JobPartProps } from './shared-props';

interface StepEntryProps extends JobPartProps {
  step: Step;
  entry: Entry;
}

/** The fields of a step, each with what is wrong with it. */
export function StepEntry({ store, state, by, isOpen, step, entry }: StepEntryProps) {
  const judgement = judgeStep(step, entry, by);
  const isLeft = (entry.notDone ?? null) !== null;
  const edit = (field: EntryField, value: EntryValue): void => store.edit(step.key, { [field]: value });
  const faultOf = (field: string): string | undefined => {
    if (judgement.kind === 'impossible' && judgement.field === field) return faultText(judgement);
    return textOf(state.faults.find((each) => each.stepKey === step.key && each.field === field));
  };
  const gauges = state.job.place?.gauges ?? [];
  const fields = stepFields(step);
  const hasPressure = fields.some((each) => each.type === 'number' && each.quantity === 'pressure');
  return (
    <div className={styles.fields}>
      {fields.map((field) => (
        <OneField
          key={`${step.key} ${field.field}`}
          field={field}
          value={entry[field.field] ?? null}
          fault={faultOf(field.field)}
          odometerUnit={state.job.place?.odometerUnit ?? 'km'}
          disabled={!isOpen || isLeft}
          onChange={(value) => edit(field.field, value)}
        />
      ))}
      {step.task === 'low-pressure-warning-test' ? (
        <CheckField
          label="The lamp stayed dark"
          checked={entry.cameOn === false}
          disabled={!isOpen || isLeft}
          onChange={({ target }) =>
            store.edit(step.key, target.checked ? { cameOn: false, warningBarGauge: null } : { cameOn: null })
          }
        />
      ) : null}
      {hasPressure && gauges.length > 0 ? (
        <SelectField
          label="Gauge"
          value={entry.gaugeId ?? ''}
          fault={faultOf('gaugeId')}
          disabled={!isOpen || isLeft}
          onChange={({ target }) => edit('gaugeId', target.value === '' ? null : target.value)}
        >
          <option value="">not named</option>
          {gauges.map(({ id, code, name, calibrationDueOn }) => (
            <option key={id} value={id}>
              {code} {name}
              {calibrationDueOn !== null && calibrationDueOn < by.today ? ' (calibration overdue)' : ''}
            </option>
          ))}
        </SelectField>
      ) : null}
    </div>
  );
}

interface OneFieldProps {
  field: StepField;
  value: EntryValue;
  fault: string | undefined;
  odometerUnit: string;
  disabled: boolean;
  onChange: (value: EntryValue) => void;
}

function OneField({ field, value, fault, odometerUnit, disabled, onChange }: OneFieldProps) {
  const label = field.optional ? `${field.label} (may be left out)` : field.label;
  switch (field.type) {
    case 'number':
      return (
        <FigureField
          {...{ label, fault, disabled, odometerUnit, onChange }}
          hint={field.hint}
          quantity={field.quantity}
          value={typeof value === 'number' ? value : null}
        />
      );
    case 'choice':
      return (
        <SelectField
          {...{ label, fault, disabled }}
          value={typeof value === 'string' ? value : ''}
          onChange={({ target }) => onChange(target.value === '' ? null : target.value)}
        >
          <option value="">choose</option>
          {field.options.map((option) => (
            <option key={option.value} value={option.value}>
              {option.label}
            </option>
          ))}
        </SelectField>
      );
    case 'text':
      return (
        <TextField
          {...{ label, fault, disabled }}
          value={typeof value === 'string' ? value : ''}
          onChange={({ target }) => onChange(target.value === '' ? null : target.value)}
        />
      );
  }
}

function textOf(fault: EntryFault | undefined): string | undefined {
  return fault === undefined ? undefined : faultText(fault);
}
