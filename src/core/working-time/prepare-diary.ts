import { toEpochDay } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';
import {
  complementOf,
  differenceOf,
  InstantSet,
  instantSetOf,
  intersectionOf,
  lengthMs,
  Period,
  unionOf,
} from './instant-set';
import { intervalsOf } from './open-intervals';
import { compilePattern } from './opening-pattern';
import { Bay, Technician, Workshop } from './workshop';
import { ZoneClock } from './zone-clock';

export interface PreparedBay {
  readonly bay: Bay;
  /** Neither closed nor busy, night and day, reaching over both ends of the range. */
  readonly free: InstantSet;
}

export interface PreparedPerson {
  readonly technician: Technician;
  /** On shift while the workshop is open, whether busy or not. */
  readonly onShift: InstantSet;
  /** People with the same number have the same `onShift`. */
  readonly shiftGroup: number;
  /** On shift, neither absent nor busy. */
  readonly free: InstantSet;
  /** Instant from which a competence no longer counts, by its code. */
  readonly competentUntil: ReadonlyMap<string, number>;
}

export interface PreparedWorkshop {
  readonly workshop: Workshop;
  readonly clock: ZoneClock;
  readonly open: InstantSet;
  /** The least free time first, then by id: the order in which they are preferred. */
  readonly bays: readonly PreparedBay[];
  readonly people: readonly PreparedPerson[];
}

/** Working time and bookings of some workshops over a range, ready for any number of searches. */
export interface Diary {
  readonly fromAt: number;
  readonly untilAt: number;
  readonly workshops: readonly PreparedWorkshop[];
}

/**
 * Turns opening hours, shifts, absences and bookings into sets of instants. Do it once for all questions about
 * one state of the bookings; the time grows with the days, people and bookings.
 *
 * The free time by which bays and people are preferred is counted over the range of the diary, bays while the
 * workshop is open: who has the least left is filled up first.
 *
 * @param fromAt milliseconds since the epoch
 * @param untilAt later than `fromAt`
 * @param clocksAtHand clocks that cover the range, by zone
 * @throws InputError for a range, zone, time, date, period or grid that does not exist
 */
export function prepareDiary(
  workshops: readonly Workshop[],
  fromAt: number,
  untilAt: number,
  clocksAtHand: ReadonlyMap<string, ZoneClock> = new Map(),
): Diary {
  if (!(Number.isFinite(fromAt) && Number.isFinite(untilAt) && fromAt < untilAt))
    throw new InputError('untilAt', 'the range does not end after it starts', 'give a later end');
  const clocks = new Map(clocksAtHand);
  return {
    fromAt,
    untilAt,
    workshops: workshops.map((workshop) => {
      const { zone } = workshop.opening;
      const clock = clocks.get(zone) ?? new ZoneClock(zone, fromAt, untilAt);
      clocks.set(zone, clock);
      return prepareWorkshop(workshop, clock, fromAt, untilAt);
    }),
  };
}

function prepareWorkshop(
  workshop: Workshop,
  clock: ZoneClock,
  fromAt: number,
  untilAt: number,
): PreparedWorkshop {
  const { gridMinutes } = workshop;
  if (!(Number.isInteger(gridMinutes) && gridMinutes > 0 && 1440 % gridMinutes === 0))
    throw new InputError(
      'gridMinutes',
      `${gridMinutes} does not divide a day`,
      'give 5, 10, 15, 20, 30 or 60',
    );
  const open = intervalsOf(compilePattern(workshop.opening), clock, fromAt, untilAt);
  const shiftsOf = sharedShifts(clock, open, fromAt, untilAt);
  return {
    workshop,
    clock,
    open,
    bays: ranked(
      workshop.bays.map((bay) => {
        const free = complementOf(takenOf(bay.closures, bay.busy, `bays.${bay.id}`), -Infinity, Infinity);
        return { item: { bay, free }, id: bay.id, freeMs: lengthMs(intersectionOf(open, free)) };
      }),
    ),
    people: ranked(
      workshop.technicians.map((technician) => {
        const { id, absences, busy } = technician;
        const { onShift, shiftGroup } = shiftsOf(technician);
        const free = differenceOf(onShift, takenOf(absences, busy, `technicians.${id}`));
        const competentUntil = competenceEnds(technician, clock);
        const item = { technician, onShift, shiftGroup, free, competentUntil };
        return { item, id, freeMs: lengthMs(free) };
      }),
    ),
  };
}

interface Shifts {
  onShift: InstantSet;
  shiftGroup: number;
}

// Many people have the same shifts: they are worked out once, and people who share them get one number.
function sharedShifts(
  clock: ZoneClock,
  open: InstantSet,
  fromAt: number,
  untilAt: number,
): (technician: Technician) => Shifts {
  const byPattern = new Map<string, Shifts>();
  return ({ id, shifts, shiftExceptions }) => {
    const key = JSON.stringify([shifts, shiftExceptions]);
    const known = byPattern.get(key);
    if (known !== undefined) return known;
    const pattern = compilePattern({ weekly: shifts, exceptions: shiftExceptions }, `technicians.${id}`);
    const onShift = intersectionOf(intervalsOf(pattern, clock, fromAt, untilAt), open);
    const others = [...byPattern.values()];
    const same = others.find((other) => isSame(other.onShift, onShift));
    const made = { onShift, shiftGroup: same?.shiftGroup ?? others.length };
    byPattern.set(key, made);
    return made;
  };
}

function takenOf(first: readonly Period[], second: readonly Period[], field: string): InstantSet {
  return unionOf(instantSetOf(first, field), instantSetOf(second, field));
}

function ranked<T>(items: readonly { item: T; id: string; freeMs: number }[]): T[] {
  return [...items]
    .sort((a, b) => a.freeMs - b.freeMs || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0))
    .map(({ item }) => item);
}

function competenceEnds(technician: Technician, clock: ZoneClock): Map<string, number> {
  const ends = new Map<string, number>();
  for (const { code, untilOn } of technician.competences) {
    const end = untilOn === null ? Infinity : clock.instantOf(toEpochDay(untilOn), 0);
    ends.set(code, Math.max(end, ends.get(code) ?? -Infinity));
  }
  return ends;
}

function isSame(a: InstantSet, b: InstantSet): boolean {
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}
