import {
  MEASURED_BY_TASK,
  MEASURED_FIELDS,
  type Measured,
  type MeasuredField,
  type SystemTestTask,
} from './system-test';

/** What is wrong with a field, by its JSON pointer, and what to do about it. */
export interface MeasuredFault {
  pointer: string;
  detail: string;
  remedy: string;
}

/** Whether the measured fields go with the task and with each other. */
export function measuredFaults(
  task: SystemTestTask,
  measured: Measured,
  note: string | null,
): MeasuredFault[] {
  const { required, optional } = MEASURED_BY_TASK[task];
  const known = [...required, ...optional];
  return [
    ...required.filter((field) => measured[field] === undefined).map((field) => missing(task, field)),
    ...MEASURED_FIELDS.filter((field) => measured[field] !== undefined && !known.includes(field)).map(
      (field): MeasuredFault => ({
        pointer: `#/${field}`,
        detail: `${field} is not measured in a ${task}`,
        remedy: `leave it out; this task takes ${known.join(', ')}`,
      }),
    ),
    ...faultsAmong(task, measured, note),
  ];
}

function faultsAmong(task: SystemTestTask, measured: Measured, note: string | null): MeasuredFault[] {
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
): MeasuredFault {
  return { pointer: `#/${field}`, detail: `a ${task} needs ${field}`, remedy };
}
