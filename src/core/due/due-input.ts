import { HydraulicLayout } from '../hydraulics/hydraulic-layout';
import { CalendarDate, EpochDay } from '../shared/calendar-date';
import { MeterPoint } from '../usage/meter-track';
import { UsageForecast } from '../usage/usage-forecast';
import { ServiceProgramme } from './rule';

/**
 * Everything that the due items of one vehicle depend on, as plain data. Dates are days in the time zone of
 * the vehicle's depot. There is no "today" in it: what is due does not depend on the day somebody asks.
 */
export interface DueInput {
  programme: ServiceProgramme;
  inServiceOn: CalendarDate | null;
  /** Total distance at the in-service date; null is taken as 0 and marked. */
  inServiceTotalKm: number | null;
  /** Engine hours at the in-service date; null is taken as 0 and marked. */
  inServiceTotalHours: number | null;
  dutyClass: string | null;
  /** With what follows from the record already filled in (a split pump has anti-sink valves). */
  layout: HydraulicLayout;
  /** Total distance on the days of the accepted readings, earliest first, never falling. */
  odometerTrack: readonly MeterPoint[];
  /** Engine hours, in the same way. */
  hoursTrack: readonly MeterPoint[];
  distanceForecast: UsageForecast | null;
  hoursForecast: UsageForecast | null;
  /** In any order. */
  completions: readonly TaskCompletion[];
  /** Where this vehicle has gas units. */
  positions: readonly PositionExpectation[];
  /** The gas units on this vehicle now; a position without one falls back to the position's own completions. */
  units: readonly FittedUnit[];
}

/**
 * A task that was done. Ids that sort by the time of recording (UUIDv7) let two completions of one day be
 * told apart.
 */
export interface TaskCompletion {
  id: string;
  task: string;
  /** Where, for work on one gas unit; null is work on the whole vehicle, every position included. */
  position: string | null;
  /** On which unit; null where nobody recorded it. */
  unitId: string | null;
  doneOn: CalendarDate;
  /** The vehicle's total distance then, null where nobody read the odometer. */
  totalKm: number | null;
  totalHours: number | null;
  /** Milliseconds, where the moment is known: orders the work of one day. */
  at?: number | null;
  /** A test that `failed` settles nothing: it has to be done again. */
  outcome: 'done' | 'failed';
}

/** A place for a gas unit, as `expectedUnitPositions` gives it or as an operator added it. */
export interface PositionExpectation {
  position: string;
  /** `unknown` where it hangs on a layout fact that nobody has looked at. */
  unit: 'expected' | 'not-expected' | 'unknown';
}

/** A gas unit and the part of its history that counts on this vehicle. */
export interface FittedUnit {
  unitId: string;
  serialNumber: string;
  typeCode: string;
  position: string;
  fittedOn: CalendarDate;
  /** When it was first fitted to any vehicle; null where unknown. */
  firstFittedOn: CalendarDate | null;
  /** The vehicle's total distance at the fitting; null where unknown. */
  vehicleTotalKmAtFitting: number | null;
  /** What the unit had travelled by then, on whichever vehicles; null where unknown. */
  unitTotalKmAtFitting: number | null;
  /** The unit's own distance before the fitting, earliest first; may be empty. */
  earlierTrack: readonly MeterPoint[];
  /**
   * Work on the unit before the fitting, on whichever vehicle or on the bench; `totalKm` is the unit's own
   * distance. In any order.
   */
  earlierCompletions: readonly TaskCompletion[];
  madeOn: CalendarDate | null;
  lastChargedOn: CalendarDate | null;
  /** Nominal precharge, bar gauge at 20 °C. */
  nominalPrecharge20BarGauge: number | null;
  /** One for every limit that a rule of the programme sets for this unit. */
  prechargeForecasts: readonly PrechargeForecast[];
}

/**
 * When a unit falls below a precharge limit: the probability of being below it by day, never falling.
 * Between two points it is interpolated; before the first it is that of the first; after the last it is
 * not known (beyond the horizon).
 */
export interface PrechargeForecast {
  /** Bar gauge at 20 °C. */
  limit20BarGauge: number;
  /** Day of the last test or charge that the forecast knows of. */
  knownUntil: EpochDay;
  belowLimit: readonly { day: EpochDay; probability: number }[];
}
