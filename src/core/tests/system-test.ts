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

/** Everything that some test measures; which task takes what, see `MEASURED_BY_TASK`. */
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

/** What a test has to measure, and what it may. */
export const MEASURED_BY_TASK: Record<
  SystemTestTask,
  { required: MeasuredField[]; optional: MeasuredField[] }
> = {
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
  ...new Set(Object.values(MEASURED_BY_TASK).flatMap(({ required, optional }) => [...required, ...optional])),
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

/** The main accumulator that a vehicle had at the moment of a test. */
export interface MainAccumulator {
  unitId: string;
  serialNumber: string;
  unitTypeCode: string;
  gasVolumeCm3: number;
  nominalPrecharge20BarGauge: number;
}
