import type { CalendarDate } from '../../core/shared/calendar-date';
import type { PreparedWorkshop } from '../../core/working-time/prepare-diary';
import type { WorkshopTimes } from '../bookings/visit-booking.service';
import type { PlanAssumption, PlanWishes } from './plan-wishes';

/** A due item, as far as a plan needs it. */
export interface OwedItem {
  vehicleId: string;
  key: string;
  cycle: string;
  task: string;
  title: string;
  position: string | null;
  safetyCritical: boolean;
  earlyOn: CalendarDate;
  dueOn: CalendarDate;
  lateOn: CalendarDate;
  /** what its interval is counted from; null where nothing is known */
  baselineOn: CalendarDate | null;
  labourMinutes: number | null;
  competences: readonly string[];
  bayKind: string | null;
  doBefore: readonly string[];
  satisfies: readonly string[];
}

export interface PlanVehicleRow {
  id: string;
  depotId: string;
  registrationMark: string;
  fleetNumber: string | null;
}

/** A booking that stands, of one of the vehicles. */
export interface StandingBooking {
  id: string;
  vehicleId: string;
  workshopId: string;
  startsAt: number;
  /** the vehicle is away */
  fromAt: number;
  untilAt: number;
  items: readonly { dueItemKey: string; cycle: string }[];
}

export interface DepotRow {
  id: string;
  name: string;
  zone: string;
}

export interface WayToWorkshop {
  workshopId: string;
  costMinor: number;
}

/** What is weighed against each other; whole hundredths of the currency. */
export interface PlanWeights {
  currency: string;
  visitLossMinor: number;
  valuePerItemMinor: number;
  valueByTask: readonly { task: string; valueMinor: number }[];
  riskPerLateDayMinor: { safetyCritical: number; other: number };
  leftOutMinor: number;
}

/** Everything that a plan is made from, as it stood when it was read; plain data, which another thread can be given. */
export interface PlanRecords extends Omit<PlanInputs, 'workshops'> {
  diaries: readonly WorkshopTimes[];
}

/** The same with the diaries worked out. */
export interface PlanInputs {
  fromOn: CalendarDate;
  dayCount: number;
  /** the range that the diaries tell of */
  fromAt: number;
  untilAt: number;
  depots: readonly DepotRow[];
  vehicles: readonly PlanVehicleRow[];
  items: readonly OwedItem[];
  bookings: readonly StandingBooking[];
  /** `[day]` by depot: vehicles needed on the road */
  neededOnRoad: ReadonlyMap<string, readonly number[]>;
  /** half-open days on which a vehicle stays on the road, with the reason */
  blackouts: ReadonlyMap<string, readonly { fromOn: CalendarDate; untilOn: CalendarDate; reason: string }[]>;
  /** by depot, the nearest first */
  ways: ReadonlyMap<string, readonly WayToWorkshop[]>;
  workshops: readonly { prepared: PreparedWorkshop; unbooked: PreparedWorkshop; name: string }[];
  weights: PlanWeights;
  wishes: PlanWishes;
  assumptions: readonly PlanAssumption[];
}
