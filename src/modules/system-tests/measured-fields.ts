import type { FieldError } from '../../platform/errors/coded-error';

/** The tests of a vehicle's hydraulic system as a whole; each is a task of the service programme. */
export const SYSTEM_TEST_TASKS = [
  'regulator-cycle-test',
  'cut-in-cut-out-reading',
  'low-pressure-warning-test',
  'anti-sink-hold-test',
  'brake-reserve-test',
  'steering-regulator-check',
] as const;

export type SystemTestTask = (typeof SYSTEM_TEST_TASKS)[number];

/** Everything that some test measures; which task takes what, see `FIELDS`. */
export interface Measured {
  chargeSeconds?: number;
  idleSeconds?: number;
  pumpDeliveryLPerMin?: number;
  gasTemperatureC?: number;
  cutInBarGauge?: number;
  cutOutBarGauge?: number;
  warningBarGauge?: number;
  cameOn?: boolean;
  hours?: number;
  frontLossMm?: number;
  rearLossMm?: number;
  applicationsUntilWarning?: number;
  startBarGauge?: number;
  result?: 'passed' | 'failed';
}

export type MeasuredField = keyof Measured;

const FIELDS: Record<SystemTestTask, { required: MeasuredField[]; optional: MeasuredField[] }> = {
  'regulator-cycle-test': {
    required: ['chargeSeconds', 'idleSeconds'],
    optional: ['pumpDeliveryLPerMin', 'gasTemperatureC', 'cutInBarGauge', 'cutOutBarGauge'],
  },
  'cut-in-cut-out-reading': { required: ['cutInBarGauge', 'cutOutBarGauge'], optional: [] },
  'low-pressure-warning-test': { required: [], optional: ['warningBarGauge', 'cameOn'] },
  'anti-sink-hold-test': { required: ['hours'], optional: ['frontLossMm', 'rearLossMm'] },
  'brake-reserve-test': { required: ['applicationsUntilWarning'], optional: ['startBarGauge'] },
  'steering-regulator-check': { required: ['result'], optional: [] },
};

export const MEASURED_FIELDS: readonly MeasuredField[] = [
  ...new Set(Object.values(FIELDS).flatMap(({ required, optional }) => [...required, ...optional])),
];

/** Pressures that a gauge showed. */
export const GAUGE_FIELDS = ['cutInBarGauge', 'cutOutBarGauge', 'warningBarGauge', 'startBarGauge'] as const;

type Given = { readonly [F in MeasuredField]?: Measured[F] | null };

/** What was measured, without what was left out. */
export function measuredOf(given: Given): Measured {
  return Object.fromEntries(
    MEASURED_FIELDS.flatMap((field) => {
      const value = given[field] ?? null;
      return value === null ? [] : [[field, value]];
    }),
  );
}

/** Whether the measured fields go with the task and with each other. */
export function measuredFaults(task: SystemTestTask, measured: Measured, note: string | null): FieldError[] {
  const { required, optional } = FIELDS[task];
  const known = [...required, ...optional];
  return [
    ...required.filter((field) => measured[field] === undefined).map((field) => missing(task, field)),
    ...MEASURED_FIELDS.filter((field) => measured[field] !== undefined && !known.includes(field)).map(
      (field): FieldError => ({
        pointer: `#/${field}`,
        detail: `${field} is not measured in a ${task}`,
        remedy: `leave it out; this task takes ${known.join(', ')}`,
      }),
    ),
    ...faultsAmong(task, measured, note),
  ];
}

function faultsAmong(task: SystemTestTask, measured: Measured, note: string | null): FieldError[] {
  const { cutInBarGauge, cutOutBarGauge, warningBarGauge, cameOn, frontLossMm, rearLossMm } = measured;
  if (cutInBarGauge !== undefined && cutOutBarGauge !== undefined && cutOutBarGauge <= cutInBarGauge) {
    return [
      {
        pointer: '#/cutOutBarGauge',
        detail: `cut-out (${cutOutBarGauge} bar) is not above cut-in (${cutInBarGauge} bar)`,
        remedy:
          'cut-in is where the pump begins to charge, about 140 bar, cut-out where it stops, about 170 bar',
      },
    ];
  }
  if (task === 'low-pressure-warning-test' && warningBarGauge === undefined && cameOn !== false) {
    return [
      {
        pointer: '#/warningBarGauge',
        detail: 'it is not said at which pressure the lamp came on',
        remedy: 'give the pressure in bar, or cameOn false where it stayed dark',
      },
    ];
  }
  if (task === 'low-pressure-warning-test' && warningBarGauge !== undefined && cameOn === false) {
    return [
      {
        pointer: '#/warningBarGauge',
        detail: `the lamp stayed dark (cameOn is false) and yet came on at ${warningBarGauge} bar`,
        remedy: 'leave out the pressure, or cameOn',
      },
    ];
  }
  if (task === 'anti-sink-hold-test' && frontLossMm === undefined && rearLossMm === undefined) {
    return [
      missing(task, 'frontLossMm', 'give the ride height that was lost at the front, at the rear, or both'),
    ];
  }
  if (task === 'steering-regulator-check' && note === null) {
    return [
      {
        pointer: '#/note',
        detail: "the maker's workshop manual rules this check, and it is not said by what it was judged",
        remedy: 'note the figures of the manual and what was read',
      },
    ];
  }
  return [];
}

function missing(
  task: SystemTestTask,
  field: MeasuredField,
  remedy = `give ${field}, in the unit of its name`,
): FieldError {
  return { pointer: `#/${field}`, detail: `a ${task} needs ${field}`, remedy };
}
