import { CalendarDate, toEpochDay } from '../shared/calendar-date';
import { MeterPoint, totalOn } from '../usage/meter-track';
import { UsageForecast } from '../usage/usage-forecast';
import { DueInput, FittedUnit, TaskCompletion } from './due-input';
import { Mark } from './due-item';
import { MeterAtBaseline } from './reasoning';

/** A meter that intervals are counted on: its readings and where it is heading. */
export interface Meter {
  track: readonly MeterPoint[];
  forecast: UsageForecast | null;
}

/** A completion as it counts for one subject, its distance on the vehicle's odometer. */
export interface CountedCompletion {
  id: string;
  task: string;
  on: CalendarDate;
  totalKm: number | null;
  totalHours: number | null;
  position: string | null;
  /** Work on one position; on a vehicle rule it counts only for the rule's own task. */
  atOnePosition: boolean;
  /** Milliseconds; null where only the day is known. */
  at: number | null;
  mark: Mark | null;
}

/** Before any completion: since when the subject has been in use, and its meters then. */
export interface SubjectStart {
  on: CalendarDate | null;
  km: MeterAtBaseline;
  hours: MeterAtBaseline;
}

/** What a due item is about: the vehicle, a gas unit on it, or a position whose unit nobody recorded. */
export interface Subject {
  position: string | null;
  unit: FittedUnit | null;
  start: SubjectStart;
  km: Meter;
  hours: Meter;
  completions: readonly CountedCompletion[];
  /** Tests that failed: they settle nothing, and are owed again until one of them, or what satisfies it, is done. */
  failures: readonly CountedCompletion[];
  marks: readonly Mark[];
}

const UNKNOWN_TOTAL: MeterAtBaseline = { total: null, source: 'unknown', readings: [] };

/** The vehicle as a whole. A completion at a position is kept, and marked as such. */
export function vehicleSubject(input: DueInput): Subject {
  const work = new CountedWork();
  for (const completion of input.completions) {
    work.add(
      completion,
      counted(completion, completion.position !== null || completion.unitId !== null, null),
    );
  }
  return {
    position: null,
    unit: null,
    start: vehicleStart(input),
    km: { track: input.odometerTrack, forecast: input.distanceForecast },
    hours: { track: input.hoursTrack, forecast: input.hoursForecast },
    ...work.counted(),
    marks: [],
  };
}

/**
 * A position whose unit nobody recorded: the work at the position on this vehicle, and work that names no
 * position, stand in for the unit's own history. In use since the vehicle is.
 */
export function positionSubject(input: DueInput, position: string): Subject {
  const work = new CountedWork();
  for (const completion of input.completions) {
    if (completion.position === position) work.add(completion, counted(completion, true, null));
    else if (completion.position === null && completion.unitId === null) {
      work.add(completion, counted(completion, false, 'position-not-recorded'));
    }
  }
  return {
    position,
    unit: null,
    start: vehicleStart(input),
    km: { track: input.odometerTrack, forecast: input.distanceForecast },
    hours: { track: input.hoursTrack, forecast: input.hoursForecast },
    ...work.counted(),
    marks: ['unit-not-recorded'],
  };
}

/**
 * A gas unit fitted to the vehicle. Its distance is what it travelled while fitted, on whichever vehicle. To
 * count in one scale, its earlier distances are moved on to this vehicle's odometer: what the unit had
 * travelled at the fitting corresponds to the vehicle's total distance then. In use since its first fitting.
 */
export function unitSubject(input: DueInput, unit: FittedUnit): Subject {
  const fittedDay = toEpochDay(unit.fittedOn);
  const vehicleKm =
    unit.vehicleTotalKmAtFitting ??
    totalOn(input.odometerTrack, fittedDay, input.distanceForecast ?? undefined).total;
  const shiftKm =
    vehicleKm === null || unit.unitTotalKmAtFitting === null ? null : vehicleKm - unit.unitTotalKmAtFitting;
  const track: MeterPoint[] = [];
  if (shiftKm !== null) {
    for (const point of unit.earlierTrack) {
      if (point.day < fittedDay) track.push({ day: point.day, total: point.total + shiftKm });
    }
  }
  if (vehicleKm !== null) track.push({ day: fittedDay, total: vehicleKm });
  for (const point of input.odometerTrack) if (point.day > fittedDay) track.push(point);

  const firstFitting = unit.firstFittedOn === unit.fittedOn;
  const hoursAtFitting = totalOn(input.hoursTrack, fittedDay, input.hoursForecast ?? undefined).total;
  return {
    position: unit.position,
    unit,
    start: {
      on: unit.firstFittedOn,
      km: shiftKm === null ? UNKNOWN_TOTAL : { total: shiftKm, source: 'given', readings: [] },
      // engine hours belong to a vehicle: those on an earlier one do not count on this one's meter
      hours:
        firstFitting && hoursAtFitting !== null
          ? { total: hoursAtFitting, source: 'given', readings: [] }
          : UNKNOWN_TOTAL,
    },
    km: { track, forecast: input.distanceForecast },
    hours: {
      track: input.hoursTrack.filter((point) => point.day >= fittedDay),
      forecast: input.hoursForecast,
    },
    ...workOnUnit(input, unit, shiftKm).counted(),
    marks: [],
  };
}

function workOnUnit(input: DueInput, unit: FittedUnit, shiftKm: number | null): CountedWork {
  const work = new CountedWork();
  for (const completion of unit.earlierCompletions) {
    const known = completion.totalKm !== null && shiftKm !== null;
    work.add(completion, {
      ...counted(completion, true, null),
      totalKm: known ? (completion.totalKm as number) + shiftKm : null,
      totalHours: null,
    });
  }
  for (const completion of input.completions) {
    // before the fitting another unit sat here; the unit's own work from then is in its earlier history
    if (completion.doneOn < unit.fittedOn) continue;
    if (completion.unitId !== null) {
      if (completion.unitId === unit.unitId) work.add(completion, counted(completion, true, null));
    } else if (completion.position === unit.position) {
      work.add(completion, counted(completion, true, 'unit-not-named'));
    } else if (completion.position === null) {
      work.add(completion, counted(completion, false, 'position-not-recorded'));
    }
  }
  return work;
}

/** Work that counts for a subject, what was done apart from what failed. */
class CountedWork {
  private readonly completions: CountedCompletion[] = [];
  private readonly failures: CountedCompletion[] = [];

  add({ outcome }: TaskCompletion, work: CountedCompletion): void {
    (outcome === 'failed' ? this.failures : this.completions).push(work);
  }

  counted(): Pick<Subject, 'completions' | 'failures'> {
    return { completions: this.completions, failures: this.failures };
  }
}

function vehicleStart(input: DueInput): SubjectStart {
  return {
    on: input.inServiceOn,
    km: startTotal(input.inServiceTotalKm),
    hours: startTotal(input.inServiceTotalHours),
  };
}

function startTotal(total: number | null): MeterAtBaseline {
  return { total: total ?? 0, source: total === null ? 'assumed-0' : 'given', readings: [] };
}

function counted(completion: TaskCompletion, atOnePosition: boolean, mark: Mark | null): CountedCompletion {
  return {
    id: completion.id,
    task: completion.task,
    on: completion.doneOn,
    totalKm: completion.totalKm,
    totalHours: completion.totalHours,
    position: completion.position,
    atOnePosition,
    at: completion.at ?? null,
    mark,
  };
}
