import {
  type PlanDepot,
  type PlanProblem,
  type PlanVehicle,
  type PlanWorkshop,
} from '../../src/core/downtime-plan/plan-problem';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import { MADE_RESOURCES, madeWorkOfVehicle, pick } from './made-plan-work';
import { plantPlan } from './plant-plan';

export { tinyPlanProblem } from './tiny-plan-problem';

export interface MadePlanOptions {
  vehicles: number;
  seed: number;
  /** at least 14 */
  days?: number;
  /** Minutes that the work takes at the nearest workshops, divided by the minutes that are free there. */
  tightness?: number;
}

const BAYS = 0;
const PEOPLE = 1;
const DAY_MINUTES = 480;
const SATURDAY_MINUTES = 240;
const OPEN_WEEKDAYS = 5;
const MINUTES_STEP = 5;

/**
 * A made-up fleet and its workshops over some weeks, a Monday first. Most workshops are closed at weekends; bookings are
 * taken off already, unevenly; due days come in clusters of a vehicle and of the fleet. A plan that does everything is
 * planted, with overtime where it takes that, so small or tight problems end up less tight than was asked for. The same
 * options make the same problem.
 *
 * @throws RangeError for fewer than 14 days
 */
export function madePlanProblem(options: MadePlanOptions): PlanProblem {
  const { vehicles: vehicleCount, seed, days: dayCount = 90, tightness = 0.85 } = options;
  if (dayCount < 14) throw new RangeError(`a made-up plan takes at least 14 days, not ${dayCount}`);
  const random = new SeededRandom(seed);
  const workshopCount = Math.max(1, Math.round(vehicleCount / 330));
  const depotCount = Math.max(1, Math.round(vehicleCount / 80));
  const reachOfDepot = distances(random, workshopCount, depotCount);
  const fleetClusters = [dayCount * 0.3, dayCount * 0.7];
  const vehicles = Array.from({ length: vehicleCount }, () => {
    const depot = random.integer(0, depotCount - 1);
    const standingCost = pick(random, [9_000, 13_000, 13_000, 20_000]);
    return {
      depot,
      reach: reachOfDepot[depot]!.map(({ workshop, distance }) => ({
        workshop,
        visitCost: Math.round(standingCost + 2_000 + distance * 30_000),
      })),
      blackoutDays: blackout(random, dayCount),
      items: madeWorkOfVehicle(random, dayCount, fleetClusters),
    };
  });
  const workshops = Array.from({ length: workshopCount }, (_, workshop) =>
    makeWorkshop(
      random,
      dayCount,
      tightness,
      minutesOf(vehicles.filter(({ reach }) => reach[0]!.workshop === workshop)),
    ),
  );
  const depots = Array.from({ length: depotCount }, (_, depot) =>
    makeDepot(random, dayCount, vehicles.filter((vehicle) => vehicle.depot === depot).length),
  );
  const problem = { dayCount, resources: MADE_RESOURCES, workshops, depots, vehicles };
  giveEveryItemADay(random, problem);
  plantPlan(random, problem);
  return problem;
}

/** Up to three workshops that a depot reaches, the nearest first; depots lie around workshops in a unit square. */
function distances(random: SeededRandom, workshopCount: number, depotCount: number) {
  const sites = Array.from({ length: workshopCount }, () => ({ x: random.next(), y: random.next() }));
  return Array.from({ length: depotCount }, (_, depot) => {
    const near = sites[depot % workshopCount]!;
    const x = near.x + (random.next() - 0.5) * 0.3;
    const y = near.y + (random.next() - 0.5) * 0.3;
    return sites
      .map((site, workshop) => ({ workshop, distance: Math.hypot(site.x - x, site.y - y) }))
      .sort((a, b) => a.distance - b.distance)
      .slice(0, 3);
  });
}

/** Up to two periods of up to five days. */
function blackout(random: SeededRandom, dayCount: number): number[] {
  const days = new Set<number>();
  for (let periods = random.integer(0, 2); periods > 0; periods--) {
    const from = random.integer(0, dayCount - 1);
    const until = Math.min(dayCount, from + random.integer(1, 5));
    for (let day = from; day < until; day++) days.add(day);
  }
  return [...days].sort((a, b) => a - b);
}

function minutesOf(vehicles: readonly PlanVehicle[]): number[] {
  return MADE_RESOURCES.map((_, resource) =>
    vehicles.reduce(
      (sum, { items }) => sum + items.reduce((all, { minutes }) => all + minutes[resource]!, 0),
      0,
    ),
  );
}

function makeWorkshop(
  random: SeededRandom,
  dayCount: number,
  tightness: number,
  demand: readonly number[],
): PlanWorkshop {
  const opensSaturdays = random.next() < 0.2;
  const visitMinutes = Int32Array.from({ length: dayCount }, (_, day) =>
    day % 7 < OPEN_WEEKDAYS
      ? DAY_MINUTES
      : day % 7 === OPEN_WEEKDAYS && opensSaturdays
        ? SATURDAY_MINUTES
        : 0,
  );
  const openDays = visitMinutes.reduce((sum, minutes) => sum + minutes, 0) / DAY_MINUTES;
  // a workshop with little to spare has it on few days; the others are booked up
  const shareWithRoom = Math.min(0.96, demand[BAYS]! / tightness / openDays / 220);
  const room = Array.from(visitMinutes, (minutes) =>
    minutes > 0 && random.next() < shareWithRoom ? (minutes / DAY_MINUTES) * (0.4 + 0.6 * random.next()) : 0,
  );
  const freeMinutes = new Int32Array(dayCount * MADE_RESOURCES.length);
  for (const [resource, needed] of demand.entries()) {
    // people are short less often than bays or what only some of them can do
    const own =
      tightness * (resource === BAYS ? 1 : (resource === PEOPLE ? 0.9 : 0.96) + random.next() * 0.06);
    const shares = room.map((share) => share * (0.85 + 0.3 * random.next()));
    const all = shares.reduce((sum, share) => sum + share, 0);
    let given = 0;
    let owed = 0;
    for (const [day, share] of shares.entries()) {
      owed += ((needed / own) * share) / all;
      const minutes = share === 0 ? 0 : Math.floor((owed - given) / MINUTES_STEP) * MINUTES_STEP;
      freeMinutes[day * MADE_RESOURCES.length + resource] = minutes;
      given += minutes;
    }
  }
  return { freeMinutes, visitMinutes, keepsOvernight: false };
}

/** What the roster leaves over: more in the middle of the week, on a few days nothing. */
function makeDepot(random: SeededRandom, dayCount: number, vehicleCount: number): PlanDepot {
  const byWeekday = [0.85, 1.05, 1.2, 1.05, 0.85, 1.4, 1.4];
  const visitsADay = (vehicleCount * 2.4) / ((dayCount * OPEN_WEEKDAYS) / 7);
  return {
    spareVehicles: Int32Array.from({ length: dayCount }, (_, day) =>
      random.next() < 0.04
        ? 0
        : Math.max(1, Math.round(0.7 + visitsADay * 1.25 * byWeekday[day % 7]! + random.next() - 0.5)),
    ),
  };
}

interface SparableVehicle extends PlanVehicle {
  blackoutDays: number[];
}

/** Where an item could not be done on any day, the vehicle is spared or a booking is moved. */
function giveEveryItemADay(
  random: SeededRandom,
  { workshops, depots, vehicles }: PlanProblem & { readonly vehicles: readonly SparableVehicle[] },
): void {
  for (const vehicle of vehicles)
    for (const { earliestDay, latestDay, minutes } of vehicle.items) {
      const spare = depots[vehicle.depot]!.spareVehicles;
      const days = Array.from({ length: latestDay - earliestDay + 1 }, (_, at) => earliestDay + at);
      const fits = (day: number): boolean =>
        !vehicle.blackoutDays.includes(day) &&
        spare[day]! > 0 &&
        vehicle.reach.some(({ workshop }) => {
          const { freeMinutes, visitMinutes } = workshops[workshop]!;
          const row = day * MADE_RESOURCES.length;
          return (
            visitMinutes[day]! >= minutes[BAYS]! &&
            minutes.every((needed, resource) => freeMinutes[row + resource]! >= needed)
          );
        });
      if (days.some(fits)) continue;
      vehicle.blackoutDays = [];
      if (days.some(fits)) continue;
      const { freeMinutes, visitMinutes } = workshops[vehicle.reach[0]!.workshop]!;
      const day = pick(
        random,
        days.filter((each) => visitMinutes[each] === DAY_MINUTES),
      );
      spare[day] = Math.max(1, spare[day]!);
      for (const [resource, needed] of minutes.entries()) {
        const row = day * MADE_RESOURCES.length + resource;
        freeMinutes[row] = Math.max(needed, freeMinutes[row]!);
      }
    }
}
