import { addDays, fromEpochDay, toEpochDay } from '../../core/shared/calendar-date';
import { intersectionOf } from '../../core/working-time/instant-set';
import { neededOn, type BuiltProblem } from './build-plan-problem';
import type { CountedVisit } from './plan-figures';
import type { PlanInputs } from './plan-inputs';
import type { AvailabilityDay, DepotAvailability, WorkshopLoad, WorkshopWeek } from './plan-views';
import { partsOf } from './visit-parts';
import { byDay } from './workshop-days';

/** By day, how many vehicles of each depot are away, as booked already and with the plan. */
export function depotAvailability(
  inputs: PlanInputs,
  { vehicles, awayBooked }: BuiltProblem,
  visits: readonly CountedVisit[],
): DepotAvailability[] {
  const { fromOn, dayCount, depots } = inputs;
  return depots.map(({ id, name }, depot) => {
    const count = vehicles.filter(({ depotId }) => depotId === id).length;
    const planned = new Array<number>(dayCount).fill(0);
    for (const { vehicle, day, lastDay } of visits)
      if (vehicles[vehicle]!.depotId === id) for (let at = day; at <= lastDay; at++) planned[at]! += 1;
    return {
      depotId: id,
      name,
      days: planned.map((more, day): AvailabilityDay => ({
        on: addDays(fromOn, day),
        vehicles: count,
        neededOnRoad: neededOn(inputs, id, day),
        offRoadBefore: awayBooked[depot]![day]!,
        offRoadAfter: awayBooked[depot]![day]! + more,
      })),
    };
  });
}

/** By ISO week, what each workshop has to do, booked already and planned, and what its bays have left. */
export function workshopLoad(
  { fromOn, dayCount, workshops }: PlanInputs,
  { unlocked }: BuiltProblem,
  visits: readonly CountedVisit[],
): WorkshopLoad[] {
  const first = toEpochDay(fromOn);
  return workshops.map(({ prepared, unbooked, name }, at) => {
    const starts = Array.from({ length: dayCount + 1 }, (_, day) => prepared.clock.instantOf(first + day, 0));
    const opened = bayMinutes(unbooked, starts);
    const free = bayMinutes(prepared, starts);
    const weeks = new Map<string, WorkshopWeek>();
    const { freeMinutes } = unlocked.workshops[at]!;
    const weekOf = (day: number): WorkshopWeek => {
      const weekOn = fromEpochDay(first + day - ((first + day + 3) % 7));
      const week = weeks.get(weekOn) ?? { weekOn, freeMinutes: 0, bookedMinutes: 0, plannedMinutes: 0 };
      weeks.set(weekOn, week);
      return week;
    };
    for (let day = 0; day < dayCount; day++) {
      const week = weekOf(day);
      week.freeMinutes += freeMinutes[day * unlocked.resources.length]!;
      week.bookedMinutes += Math.round(opened[day]! - free[day]!);
    }
    for (const { workshop, day, minutes } of visits)
      if (workshop === at)
        for (const part of partsOf(unlocked.workshops[at]!, day, [minutes]))
          weekOf(part.day).plannedMinutes += part.minutes[0]!;
    return { workshopId: prepared.workshop.id, name, weeks: [...weeks.values()] };
  });
}

function bayMinutes(
  { bays, open }: PlanInputs['workshops'][number]['prepared'],
  starts: number[],
): Float64Array {
  const all = new Float64Array(starts.length - 1);
  for (const { free } of bays)
    byDay(intersectionOf(open, free), starts).forEach((each, day) => (all[day]! += each));
  return all;
}
