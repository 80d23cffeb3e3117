import type { Measured } from '../../core/tests/system-test';

/** What a technician entered for a step. Which fields belong to it hangs on the kind of the step. */
export type StepEntry = { [F in keyof Measured]?: Measured[F] | null } & {
  key: string;
  /** why there is no result */
  notDone?: string | null;
  /** left out, the end of the work */
  doneAt?: string | null;
  note?: string | null;
  /** the odometer, in the vehicle's own unit unless said */
  odometer?: number | null;
  odometerUnit?: 'km' | 'mi' | null;
  engineHours?: number | null;
  /** what an inspection found: a value of the fact */
  found?: string | number | null;
  /** of a precharge test or charge */
  pressureBarGauge?: number | null;
  ambientBar?: number | null;
  altitudeM?: number | null;
  ambientTemperatureC?: number | null;
  gaugeId?: string | null;
  /** of a task without figures */
  outcome?: 'done' | 'failed' | null;
  /** another unit was fitted in its place */
  exchange?: UnitExchange | null;
};

export interface UnitExchange {
  /** of the unit that is fitted now */
  serialNumber: string;
  /** where the one went that was taken out */
  takenOutTo: 'on-the-shelf' | 'away-for-recharge';
}
