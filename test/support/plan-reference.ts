import type { PlanItem, PlannedVisit } from '../../src/core/downtime-plan/plan-problem';
import { addDays, daysBetween } from '../../src/core/shared/calendar-date';
import { buildPlanProblem, type BuiltProblem } from '../../src/modules/downtime-plans/build-plan-problem';
import type { OwedItem, PlanInputs } from '../../src/modules/downtime-plans/plan-inputs';

export interface Reference extends Pick<BuiltProblem, 'problem' | 'parcels' | 'booked'> {
  /** vehicle and item by the name of an owed item */
  indices: ReadonlyMap<string, [number, number]>;
}

/**
 * The problem as it is without locks. What is locked may be done on any day, even before what has to be done first if that
 * is locked as well or late; what is late may be done on any later day; at what the planning settings say.
 */
export function referenceOf(inputs: PlanInputs, late: ReadonlySet<string>): Reference {
  const { wishes } = inputs;
  const { problem, parcels, booked } = buildPlanProblem({ ...inputs, wishes: { ...wishes, locked: [] } });
  const indices = new Map(
    parcels.flatMap((own, vehicle) =>
      own.flatMap(({ owed }, item) =>
        owed.map((each): [string, [number, number]] => [nameOf(each), [vehicle, item]]),
      ),
    ),
  );
  const isLocked = ({ vehicleId, key }: OwedItem): boolean =>
    wishes.locked.some((wish) => wish.vehicleId === vehicleId && wish.dueItemKeys.includes(key));
  const vehicles = problem.vehicles.map((each, vehicle) => ({
    ...each,
    items: each.items.map((item, at) => {
      const { owed } = parcels[vehicle]![at]!;
      const isBound = (first: number): boolean => {
        const before = parcels[vehicle]![first]!.owed;
        return !before.some(isLocked) && !before.some((other) => late.has(nameOf(other)));
      };
      if (owed.some(isLocked))
        return { ...onAnyDay(inputs, item, owed, 0), doFirst: item.doFirst.filter(isBound) };
      return late.has(nameOf(owed[0]!)) ? onAnyDay(inputs, item, owed, item.earliestDay) : item;
    }),
  }));
  return { problem: { ...problem, vehicles }, parcels, booked, indices };
}

function onAnyDay(
  { fromOn, dayCount, weights }: PlanInputs,
  item: PlanItem,
  owed: readonly OwedItem[],
  earliestDay: number,
): PlanItem {
  const costOf = ({ task, safetyCritical, dueOn, baselineOn }: OwedItem, day: number): number => {
    const daysLate = daysBetween(dueOn, addDays(fromOn, day));
    const { safetyCritical: critical, other } = weights.riskPerLateDayMinor;
    if (daysLate >= 0) return Math.round(daysLate * (safetyCritical ? critical : other));
    const own = weights.valueByTask.find((each) => each.task === task);
    const interval = baselineOn === null ? 365 : daysBetween(baselineOn, dueOn);
    return Math.round((-daysLate * (own?.valueMinor ?? weights.valuePerItemMinor)) / interval);
  };
  const dayCosts = Int32Array.from({ length: dayCount - earliestDay }, (_, at) =>
    owed.reduce((sum, each) => sum + costOf(each, earliestDay + at), 0),
  );
  return { ...item, earliestDay, latestDay: dayCount - 1, dayCosts };
}

/** The locked visits of a plan, as far as their work is not booked anyway. */
export function locksOf(
  { wishes, vehicles, workshops, fromOn }: PlanInputs,
  { indices }: Reference,
): PlannedVisit[] {
  return wishes.locked.flatMap(({ vehicleId, workshopId, on, dueItemKeys }) => {
    const items = dueItemKeys.flatMap((key) => indices.get(`${vehicleId} ${key}`)?.[1] ?? []);
    if (items.length === 0) return [];
    return [
      {
        vehicle: vehicles.findIndex(({ id }) => id === vehicleId),
        workshop: workshops.findIndex(({ prepared }) => prepared.workshop.id === workshopId),
        day: daysBetween(fromOn, on),
        items: [...new Set(items)].sort((a, b) => a - b),
      },
    ];
  });
}

export function nameOf({ vehicleId, key }: Pick<OwedItem, 'vehicleId' | 'key'>): string {
  return `${vehicleId} ${key}`;
}
