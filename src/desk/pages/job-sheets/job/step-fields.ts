import { FLUID_KINDS, RECORDABLE_VALUES, VARIANT_FACTS } from '../../../../core/hydraulics/hydraulic-layout';
import {
  MEASURED_BY_TASK,
  type MeasuredField,
  type SystemTestTask,
} from '../../../../core/tests/system-test';
import type { EntryField, Step } from './kept-job';

/** What a number counts, and so how it is read and shown. */
export type Quantity =
  | 'pressure'
  | 'celsius'
  | 'seconds'
  | 'hours'
  | 'millimetres'
  | 'litres-per-minute'
  | 'applications'
  | 'odometer'
  | 'engine-hours';

interface FieldFrame {
  field: EntryField;
  label: string;
  hint?: string;
  /** the step has a result without it */
  optional: boolean;
}

export type StepField =
  | (FieldFrame & { type: 'number'; quantity: Quantity })
  | (FieldFrame & { type: 'choice'; options: { value: string; label: string }[] })
  | (FieldFrame & { type: 'text' });

type Number_ = Extract<StepField, { type: 'number' }>;

const number = (
  field: EntryField,
  label: string,
  quantity: Quantity,
  more: Partial<FieldFrame> = {},
): Number_ => ({
  type: 'number',
  field,
  label,
  quantity,
  optional: false,
  ...more,
});

const MEASURED: Partial<Record<MeasuredField, Number_>> = {
  chargeSeconds: number('chargeSeconds', 'Charge time, cut-in to cut-out', 'seconds'),
  idleSeconds: number('idleSeconds', 'Idle time, cut-out to cut-in', 'seconds'),
  pumpDeliveryLPerMin: number('pumpDeliveryLPerMin', 'Pump delivery at idle', 'litres-per-minute', {
    hint: 'Without it a loss of gas and a leak cannot be told apart.',
  }),
  gasTemperatureC: number('gasTemperatureC', 'Temperature of the gas', 'celsius'),
  cutInBarGauge: number('cutInBarGauge', 'Cut-in', 'pressure'),
  cutOutBarGauge: number('cutOutBarGauge', 'Cut-out', 'pressure'),
  warningBarGauge: number('warningBarGauge', 'Warning came on at', 'pressure', {
    hint: 'While the pressure falls.',
  }),
  hours: number('hours', 'Time that it stood', 'hours'),
  frontLossMm: number('frontLossMm', 'Height lost at the front', 'millimetres'),
  rearLossMm: number('rearLossMm', 'Height lost at the rear', 'millimetres'),
  applicationsUntilWarning: number(
    'applicationsUntilWarning',
    'Full application at which the warning came on',
    'applications',
    { hint: '0 where it was on before the first.' },
  ),
  startBarGauge: number('startBarGauge', 'Pressure at the start', 'pressure'),
};

/** What is entered for a step, in the order in which it is done. */
export function stepFields(step: Pick<Step, 'kind' | 'task' | 'fact'>): StepField[] {
  switch (step.kind) {
    case 'odometer-reading':
      return [
        number('odometer', 'Odometer', 'odometer'),
        number('engineHours', 'Engine hours', 'engine-hours', { optional: true }),
      ];
    case 'inspection':
      return [foundField(step.fact)];
    case 'precharge-test':
    case 'charge':
      return [
        number('pressureBarGauge', 'Pressure as read', 'pressure'),
        number('gasTemperatureC', 'Temperature of the gas', 'celsius', {
          hint: 'Let the unit stand until gas and surroundings agree.',
        }),
      ];
    case 'system-test':
      return systemTestFields(step.task as SystemTestTask);
    case 'task':
      return [
        choice('outcome', 'Outcome', [
          ['done', 'Done'],
          ['failed', 'Failed'],
        ]),
      ];
  }
}

/** A code as people read it: `not-fitted` is `not fitted`. */
export const wordsOf = (code: string): string => code.replaceAll('-', ' ');

function systemTestFields(task: SystemTestTask): StepField[] {
  if (task === 'steering-regulator-check') {
    return [
      choice('result', "By the maker's workshop manual", [
        ['passed', 'Passed'],
        ['failed', 'Failed'],
      ]),
    ];
  }
  const { required, optional } = MEASURED_BY_TASK[task];
  return [...required, ...optional].flatMap((name): StepField[] => {
    const field = MEASURED[name];
    // of these one is enough, and the others are not to be left out lightly
    const isAsked = ['warningBarGauge', 'frontLossMm', 'rearLossMm'].includes(name);
    return field === undefined ? [] : [{ ...field, optional: optional.includes(name) && !isAsked }];
  });
}

function foundField(fact: string | null): StepField {
  if (fact === 'reservoirLitres')
    return { type: 'text', field: 'found', label: 'Found, in litres', optional: false };
  if (fact === 'fluid') return choice('found', 'Found', FLUID_KINDS.map(plain));
  const variant = VARIANT_FACTS.find((each) => each === fact);
  return choice('found', 'Found', (variant === undefined ? [] : RECORDABLE_VALUES[variant]).map(plain));
}

const plain = (value: string): [string, string] => [value, wordsOf(value)];

function choice(field: EntryField, label: string, options: [value: string, label: string][]): StepField {
  return {
    type: 'choice',
    field,
    label,
    optional: false,
    options: options.map(([value, text]) => ({ value, label: text })),
  };
}
