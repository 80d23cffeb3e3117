import { CalendarDate } from '../shared/calendar-date';
import { Period } from './instant-set';
import { DayException, OpeningPattern, WeeklyWindows } from './opening-pattern';

/** A place for one vehicle at a time. Busy periods include the minutes before and after each job. */
export interface Bay {
  readonly id: string;
  /** Every kind of work that it serves: a lift may serve flat work as well. */
  readonly kinds: readonly string[];
  readonly closures: readonly Period[];
  readonly busy: readonly Period[];
}

/** What a technician may do. From the start of the local day `untilOn` it no longer counts; null: no end. */
export interface Competence {
  readonly code: string;
  readonly untilOn: CalendarDate | null;
}

/** A person. Shifts are hours in the zone of the workshop and count only while it is open. */
export interface Technician {
  readonly id: string;
  readonly competences: readonly Competence[];
  readonly shifts: WeeklyWindows;
  readonly shiftExceptions: readonly DayException[];
  readonly absences: readonly Period[];
  readonly busy: readonly Period[];
}

/**
 * Where a vehicle may stay while nobody works on it: `not-at-all` (a job is one unbroken stretch),
 * `over-breaks` (only while the local date stays the same) or `overnight` (nights, weekends and holidays too).
 */
export type VehicleStay = 'not-at-all' | 'over-breaks' | 'overnight';

export interface Workshop {
  readonly id: string;
  readonly opening: OpeningPattern;
  readonly bays: readonly Bay[];
  readonly technicians: readonly Technician[];
  /** Minutes for which the bay and the vehicle are taken before the work; they need not be opening hours. */
  readonly minutesBefore: number;
  readonly minutesAfter: number;
  readonly vehicleStay: VehicleStay;
  /** Jobs start at multiples of this since local midnight; divides 1440. */
  readonly gridMinutes: number;
}

/** The grid where a workshop has none of its own. */
export const DEFAULT_GRID_MINUTES = 15;

/** One or more competences that one and the same person must have. */
export interface NeededPerson {
  readonly competences: readonly string[];
}

export interface Job {
  /** Whole minutes of work, all needed people being there throughout. */
  readonly minutes: number;
  /** The one bay has to serve them all. Empty: any bay. */
  readonly bayKinds: readonly string[];
  /** Empty: any one person. */
  readonly needed: readonly NeededPerson[];
  /** False: one person may be several of those needed, and the fewest people are taken. True: each is another. */
  readonly separatePeople: boolean;
  /** Null: as the workshop has it. */
  readonly minutesBefore: number | null;
  readonly minutesAfter: number | null;
}

/** What is asked of a diary: the job within a range, and when the vehicle cannot come. */
export interface DiaryQuestion {
  readonly job: Job;
  /** The work starts no earlier, milliseconds since the epoch. */
  readonly fromAt: number;
  /** The work ends no later. */
  readonly untilAt: number;
  /** How many slots at most. */
  readonly count: number;
  readonly vehicleBusy: readonly Period[];
}

export interface Slot {
  readonly workshopId: string;
  readonly bayId: string;
  /** In order of preference. */
  readonly technicianIds: readonly string[];
  /** Start and end of the work. */
  readonly startsAt: number;
  readonly endsAt: number;
  /** The bay and the vehicle are taken throughout, the minutes before and after included. */
  readonly bayFromAt: number;
  readonly bayUntilAt: number;
  /** When the people work: one period, or several for a job that runs over breaks, nights or weekends. */
  readonly pieces: readonly Period[];
}
