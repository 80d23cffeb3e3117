import type { PlanItem, PlanProblem, PlanVehicle } from '../../src/core/downtime-plan/plan-problem';
import type { SeededRandom } from '../../src/core/shared/seeded-random';

interface Place {
  workshop: number;
  day: number;
  minutes: number[];
}

/**
 * Makes sure that everything can be done: puts the work of one vehicle after the other into what is left, joining visits
 * where that goes, and where nothing is left adds the overtime that it takes. Changes `freeMinutes`, `spareVehicles`
 * and, where an item cannot come after what has to be done first, its `doFirst`.
 *
 * @returns minutes of bays that were added
 */
export function plantPlan(random: SeededRandom, problem: PlanProblem): number {
  const { workshops, depots, vehicles, dayCount, resources } = problem;
  const left = workshops.map(({ freeMinutes }) => freeMinutes.slice());
  const spare = depots.map(({ spareVehicles }) => spareVehicles.slice());
  let overtime = 0;
  const fits = (workshop: number, day: number, minutes: readonly number[]): boolean =>
    minutes.every((needed, resource) => needed <= left[workshop]![day * resources.length + resource]!);
  const take = (workshop: number, day: number, minutes: readonly number[]): void => {
    for (const [resource, needed] of minutes.entries()) {
      const row = day * resources.length + resource;
      const short = needed - left[workshop]![row]!;
      if (short > 0) {
        workshops[workshop]!.freeMinutes[row]! += short;
        left[workshop]![row]! += short;
        if (resource === 0) overtime += short;
      }
      left[workshop]![row]! -= needed;
    }
  };

  const plant = (vehicle: PlanVehicle): void => {
    const placed = new Map<number, Place>();
    const open = new Set(vehicle.items.keys());
    const isReady = (index: number): boolean =>
      vehicle.items[index]!.doFirst.every((first) => !open.has(first));
    while (open.size > 0) {
      const index = [...open].find(isReady) ?? [...open][0]!;
      open.delete(index);
      const item = vehicle.items[index]!;
      const from = Math.max(item.earliestDay, ...item.doFirst.map((first) => placed.get(first)?.day ?? 0));
      placed.set(
        index,
        placeOf(vehicle, item, Math.min(from, item.latestDay), [...new Set(placed.values())]),
      );
    }
  };

  const placeOf = (vehicle: PlanVehicle, item: PlanItem, from: number, visits: readonly Place[]): Place => {
    const longer = (minutes: readonly number[]): number[] =>
      minutes.map((each, resource) => each + item.minutes[resource]!);
    const joinable = visits.filter(
      ({ day, workshop, minutes }) =>
        from <= day &&
        day <= item.latestDay &&
        minutes[0]! + item.minutes[0]! <= workshops[workshop]!.visitMinutes[day]!,
    );
    const join = (visit: Place): Place => {
      take(visit.workshop, visit.day, item.minutes);
      visit.minutes = longer(visit.minutes);
      return visit;
    };
    const joined = joinable.find(({ workshop, day }) => fits(workshop, day, item.minutes));
    if (joined !== undefined) return join(joined);
    const choices: { workshop: number; day: number; room: number }[] = [];
    for (let day = from; day <= item.latestDay; day++) {
      if (day >= dayCount || vehicle.blackoutDays.includes(day) || visits.some((visit) => visit.day === day))
        continue;
      for (const { workshop } of vehicle.reach)
        if (workshops[workshop]!.visitMinutes[day]! >= item.minutes[0]!)
          choices.push({ workshop, day, room: left[workshop]![day * resources.length]! * random.next() });
    }
    const free = choices.filter(
      ({ workshop, day }) => spare[vehicle.depot]![day]! > 0 && fits(workshop, day, item.minutes),
    );
    const [best] = (free.length > 0 ? free : choices).sort((a, b) => b.room - a.room);
    if (best === undefined) {
      if (joinable[0] !== undefined) return join(joinable[0]);
      if (item.doFirst.length === 0) throw new Error('an item without a day');
      // it cannot follow what has to be done first: let it come by itself
      (item as { doFirst: readonly number[] }).doFirst = [];
      return placeOf(vehicle, item, item.earliestDay, visits);
    }
    const { workshop, day } = best;
    take(workshop, day, item.minutes);
    if (spare[vehicle.depot]![day]! < 1) {
      depots[vehicle.depot]!.spareVehicles[day]!++;
      spare[vehicle.depot]![day]!++;
    }
    spare[vehicle.depot]![day]!--;
    return { workshop, day, minutes: [...item.minutes] };
  };

  for (const vehicle of vehicles) plant(vehicle);
  return overtime;
}
