import { EpochDay } from '../../../core/shared/calendar-date';
import {
  ASSUMED_EARLY_DAYS,
  ASSUMED_LATE_DAYS,
  ASSUMED_SERVICE_PLAN,
  WorkPackage,
  nextDueDay,
} from './assumed-service-plan';
import { CAST, isCast } from './cast';
import { DemoVehicle } from './fleet-vehicles';
import { present } from './present';
import { NamedRandom } from './named-random';
import { isWorkingDay } from './weekday-of';

/** Work packages done on one vehicle on one day. */
export interface ServiceVisit {
  vehicle: DemoVehicle;
  day: EpochDay;
  packages: Set<WorkPackage>;
}

type Standing = 'overdue' | 'due' | 'due-soon' | 'not-due';

// Of the vehicles that have a history, by package: how many stand where on the day of the demo. Safety
// tests that are overdue put a vehicle on hold, so there are few of them.
const STANDINGS: Readonly<
  Record<WorkPackage['name'], Readonly<Record<Exclude<Standing, 'not-due'>, number>>>
> = {
  'safety-tests': { overdue: 4, due: 6, 'due-soon': 9 },
  inspection: { overdue: 8, due: 6, 'due-soon': 9 },
  fluid: { overdue: 8, due: 6, 'due-soon': 9 },
  gas: { overdue: 5, due: 6, 'due-soon': 9 },
};

// Days from today until the due day, well inside the window of the standing
const DUE_IN_DAYS: Readonly<Record<Standing, readonly [number, number]>> = {
  overdue: [-ASSUMED_LATE_DAYS - 60, -ASSUMED_LATE_DAYS - 6],
  due: [-ASSUMED_LATE_DAYS + 3, -2],
  'due-soon': [4, ASSUMED_EARLY_DAYS - 4],
  'not-due': [ASSUMED_EARLY_DAYS + 15, 5000],
};

const HISTORY_YEARS = 4;
const SAME_VISIT_DAYS = 25;

/**
 * The workshop visits of four years, by vehicle and day. The latest of each package is placed so that the
 * fleet stands on the day of the demo as a fleet does, the earlier ones an interval apart, a little early or
 * late as in life. Weekends have no visits.
 */
export function serviceVisits(
  vehicles: readonly DemoVehicle[],
  seed: number,
  today: EpochDay,
): ServiceVisit[] {
  const served = vehicles.filter(({ number }) => !isCast(CAST.noHistory, number));
  const visits = new Map(served.map(({ number }) => [number, new Map<EpochDay, Set<WorkPackage>>()]));
  const latest: { vehicle: DemoVehicle; work: WorkPackage; day: EpochDay; random: NamedRandom }[] = [];
  for (const work of ASSUMED_SERVICE_PLAN) {
    const standings = standingsOf(served, work, new NamedRandom(`${seed} standings ${work.name}`));
    for (const vehicle of served) {
      const random = new NamedRandom(`${seed} visits ${vehicle.number} ${work.name}`);
      const standing = present(standings.get(vehicle.number), 'standing');
      const day = latestDayFor(standing, work, vehicle, today, random);
      if (day === undefined) continue;
      enter(present(visits.get(vehicle.number), 'visits'), day, work);
      latest.push({ vehicle, work, day, random });
    }
  }
  for (const { vehicle, work, day, random } of latest) {
    const own = present(visits.get(vehicle.number), 'visits');
    for (const earlier of earlierDays(work, vehicle, day, today, random)) {
      const shared = [...own.keys()].find((known) => Math.abs(known - earlier) <= SAME_VISIT_DAYS);
      enter(own, shared ?? workingDayNear(earlier), work);
    }
  }
  return served.flatMap((vehicle) =>
    [...present(visits.get(vehicle.number), 'visits')]
      .sort(([a], [b]) => a - b)
      .map(([day, packages]) => ({ vehicle, day, packages })),
  );
}

function standingsOf(
  served: readonly DemoVehicle[],
  work: WorkPackage,
  random: NamedRandom,
): Map<number, Standing> {
  const wanted = STANDINGS[work.name];
  const order: Standing[] = [
    ...Array<Standing>(wanted.overdue).fill('overdue'),
    ...Array<Standing>(wanted.due).fill('due'),
    ...Array<Standing>(wanted['due-soon']).fill('due-soon'),
  ];
  return new Map(random.shuffled(served).map(({ number }, index) => [number, order[index] ?? 'not-due']));
}

function latestDayFor(
  standing: Standing,
  work: WorkPackage,
  vehicle: DemoVehicle,
  today: EpochDay,
  random: NamedRandom,
): EpochDay | undefined {
  // the vehicle of the leap day waits for its first fluid change since it came into service
  if (vehicle.number === CAST.inServiceOnLeapDay && work.name === 'fluid') return undefined;
  const [from, until] = DUE_IN_DAYS[standing];
  const due = (day: EpochDay): EpochDay => nextDueDay(work, day, vehicle.dutyClass, vehicle.path);
  const first = firstDayWith((day) => due(day) >= today + from, vehicle.inServiceDay + 30, today - 2);
  const last = firstDayWith((day) => due(day) > today + until, first, today - 1) - 1;
  const workingDays = Array.from(
    { length: Math.max(0, last - first + 1) },
    (_, index) => first + index,
  ).filter((day) => isWorkingDay(day));
  return workingDays.length === 0 ? undefined : random.pick(workingDays);
}

function earlierDays(
  work: WorkPackage,
  vehicle: DemoVehicle,
  latest: EpochDay,
  today: EpochDay,
  random: NamedRandom,
): EpochDay[] {
  const horizon = Math.max(vehicle.inServiceDay + 90, today - Math.round(HISTORY_YEARS * 365.25));
  const days: EpochDay[] = [];
  let next = latest;
  for (;;) {
    const dueOn = next - random.integer(-20, ASSUMED_LATE_DAYS + 6);
    const day = firstDayWith(
      (candidate) => nextDueDay(work, candidate, vehicle.dutyClass, vehicle.path) >= dueOn,
      vehicle.inServiceDay,
      next - 30,
    );
    if (day < horizon) return days;
    days.push(day);
    next = day;
  }
}

/** The first day from `from` until `until` (included) for which a condition that never turns false holds. */
function firstDayWith(holds: (day: EpochDay) => boolean, from: EpochDay, until: EpochDay): EpochDay {
  let [low, high] = [from - 1, Math.max(from, until + 1)];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (holds(middle)) high = middle;
    else low = middle;
  }
  return high;
}

function enter(visits: Map<EpochDay, Set<WorkPackage>>, day: EpochDay, work: WorkPackage): void {
  visits.set(day, (visits.get(day) ?? new Set()).add(work));
}

function workingDayNear(day: EpochDay): EpochDay {
  return isWorkingDay(day) ? day : day + 2;
}
