import { addDays, startOfLocalDay } from '../../src/core/shared/calendar-date';
import { prepareDiary } from '../../src/core/working-time/prepare-diary';
import type { Bay, Technician, Workshop } from '../../src/core/working-time/workshop';
import type { OwedItem, PlanInputs, StandingBooking } from '../../src/modules/downtime-plans/plan-inputs';

// Records of an invented operator, small enough to count on one's fingers. Two weeks from a Monday; no clock changes.

export const ZONE = 'Europe/London';
export const FROM = '2026-08-03';
export const DAYS = 14;
const MS_PER_DAY = 86_400_000;
export const HOURS = [
  { from: '08:00', until: '12:00' },
  { from: '13:00', until: '17:00' },
];
export const WEEK = { 1: HOURS, 2: HOURS, 3: HOURS, 4: HOURS, 5: HOURS };

/** A day of the plan; 0 is its first. */
export const dateOf = (day: number): string => addDays(FROM, day);
/** A moment of a day of the plan, in British summer time. */
export const atHour = (day: number, hour: number): number =>
  startOfLocalDay(dateOf(day), ZONE) + hour * 3_600_000;

export const bay = (id: string, change: Partial<Bay> = {}): Bay => ({
  id,
  kinds: ['lift'],
  closures: [],
  busy: [],
  ...change,
});

export const person = (
  id: string,
  codes: readonly string[],
  change: Partial<Technician> = {},
): Technician => ({
  id,
  competences: codes.map((code) => ({ code, untilOn: null })),
  shifts: WEEK,
  shiftExceptions: [],
  absences: [],
  busy: [],
  ...change,
});

/** Open for eight hours on working days with a break, one lift, one person for hydraulics. */
export const workshop = (id: string, change: Partial<Workshop> = {}): Workshop => ({
  id,
  opening: { zone: ZONE, weekly: WEEK },
  bays: [bay(`${id}-lift`)],
  technicians: [person(`${id}-hand`, ['hydraulics'])],
  minutesBefore: 10,
  minutesAfter: 5,
  vehicleStay: 'over-breaks',
  gridMinutes: 15,
  ...change,
});

/** Due on Wednesday of the first week, from a week before until a week after. */
export const owed = (vehicleId: string, task: string, change: Partial<OwedItem> = {}): OwedItem => {
  const { dueOn = dateOf(2) } = change;
  return {
    vehicleId,
    key: `${task}${change.position === undefined ? '' : ` ${change.position}`}`,
    cycle: `${task} 2026`,
    task,
    title: `Do the ${task}`,
    position: null,
    safetyCritical: false,
    earlyOn: addDays(dueOn, -7),
    dueOn,
    lateOn: addDays(dueOn, 7),
    baselineOn: addDays(dueOn, -100),
    labourMinutes: 60,
    competences: ['hydraulics'],
    bayKind: 'lift',
    doBefore: [],
    satisfies: [],
    ...change,
  };
};

/** Away from eight to twelve. */
export const booking = (
  vehicleId: string,
  day: number,
  items: readonly OwedItem[] = [],
  change: Partial<StandingBooking> = {},
): StandingBooking => ({
  id: `booking of ${vehicleId} on ${dateOf(day)}`,
  vehicleId,
  workshopId: 'near',
  startsAt: atHour(day, 8),
  fromAt: atHour(day, 8),
  untilAt: atHour(day, 12),
  items: items.map(({ key, cycle }) => ({ dueItemKey: key, cycle })),
  ...change,
});

type Given = Partial<Omit<PlanInputs, 'workshops' | 'vehicles'>> & {
  workshops?: readonly Workshop[];
  vehicles?: readonly string[];
};

/**
 * One depot whose vehicles all may be away, and one workshop within its reach, named `near`, at a cost of 1,000 for the
 * way; every vehicle is called by its id.
 */
export function planInputs({
  workshops = [workshop('near')],
  vehicles = ['one'],
  ...change
}: Given = {}): PlanInputs {
  const { fromOn = FROM, dayCount = DAYS } = change;
  const fromAt = startOfLocalDay(fromOn, ZONE) - MS_PER_DAY;
  const untilAt = startOfLocalDay(addDays(fromOn, dayCount), ZONE) + MS_PER_DAY;
  const prepared = prepareDiary(workshops, fromAt, untilAt).workshops;
  const unbooked = prepareDiary(
    workshops.map((each) => ({
      ...each,
      bays: each.bays.map((one) => ({ ...one, busy: [] })),
      technicians: each.technicians.map((one) => ({ ...one, busy: [] })),
    })),
    fromAt,
    untilAt,
  ).workshops;
  return {
    fromOn,
    dayCount,
    fromAt,
    untilAt,
    depots: [{ id: 'depot', name: 'Upper Tarn', zone: ZONE }],
    vehicles: vehicles.map((id) => ({
      id,
      depotId: 'depot',
      registrationMark: id.toUpperCase(),
      fleetNumber: null,
    })),
    items: [],
    bookings: [],
    neededOnRoad: new Map([['depot', new Array<number>(dayCount).fill(0)]]),
    blackouts: new Map(),
    ways: new Map([
      ['depot', workshops.map(({ id }, at) => ({ workshopId: id, costMinor: 1_000 * (at + 1) }))],
    ]),
    workshops: prepared.map((each, at) => ({
      prepared: each,
      unbooked: unbooked[at]!,
      name: `${each.workshop.id} workshop`,
    })),
    weights: {
      currency: 'EUR',
      visitLossMinor: 15_000,
      valuePerItemMinor: 12_000,
      valueByTask: [{ task: 'fluid-change', valueMinor: 20_000 }],
      riskPerLateDayMinor: { safetyCritical: 8_000, other: 800 },
      leftOutMinor: 500_000,
    },
    wishes: { locked: [], forbidden: [] },
    assumptions: [],
    ...change,
  };
}
