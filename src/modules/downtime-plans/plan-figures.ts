import type { PlanDraft } from '../../core/downtime-plan/plan-problem';
import type { BuiltProblem } from './build-plan-problem';
import { carriedOutOf } from './carried-out';
import type { OwedItem, PlanInputs } from './plan-inputs';
import { dayOf, dayPrices, lateDayOf, leftOutCostOf, workMinutesOf, type Parcel } from './plan-items';
import type { PlanFigures } from './plan-outcome';
import { lastDayOf } from './visit-parts';

/** A visit as it is counted, whoever planned it. */
export interface CountedVisit {
  vehicle: number;
  workshop: number;
  day: number;
  lastDay: number;
  /** indices of the vehicle's parcels; none where it is locked */
  parcels: readonly number[];
  owed: readonly OwedItem[];
  minutes: number;
  isLocked: boolean;
}

/** The visits of a draft and those that are locked, in order of day, then of vehicle. */
export function visitsOf({ held, parcels, problem }: BuiltProblem, draft: PlanDraft): CountedVisit[] {
  const locked = held.map(({ vehicle, workshop, day, lastDay, owed, minutes }) => ({
    vehicle,
    workshop,
    day,
    lastDay,
    parcels: [],
    owed,
    minutes: minutes[0] ?? 0,
    isLocked: true,
  }));
  const planned = draft.visits.map(({ vehicle, workshop, day, items }) => {
    const owed = items.flatMap((item) => (parcels[vehicle]![item] as Parcel).owed);
    const minutes = carriedOutOf(owed).reduce((sum, item) => sum + workMinutesOf(item), 0);
    const lastDay = lastDayOf(problem.workshops[workshop]!, day, minutes);
    return { vehicle, workshop, day, lastDay, parcels: items, owed, minutes, isLocked: false };
  });
  return [...locked, ...planned].sort((a, b) => a.day - b.day || a.vehicle - b.vehicle);
}

/** What a draft leaves out, or the plan could not take at all. */
export function leftOutOf({ parcels, beyond }: BuiltProblem, draft: PlanDraft): OwedItem[] {
  const leftOut = draft.leftOut.flatMap(({ vehicle, item }) => parcels[vehicle]![item]!.owed);
  return [...leftOut, ...beyond.flat()];
}

/** What visits come to; an item counts on the last day of its visit. */
export function figuresOf(
  inputs: PlanInputs,
  visits: readonly { visitCost: number; day: number; lastDay: number; owed: readonly OwedItem[] }[],
  leftOut: readonly OwedItem[],
): PlanFigures {
  const { fromOn, dayCount, weights } = inputs;
  const figures = {
    visits: visits.length,
    offRoadDays: 0,
    itemsDone: 0,
    itemsLeftOut: leftOut.length,
    daysEarly: 0,
    daysLate: 0,
    itemsTooLate: leftOut.filter((item) => lateDayOf(item, inputs) < dayCount).length,
    visitCostMinor: 0,
    earlyCostMinor: 0,
    lateCostMinor: 0,
    leftOutCostMinor: leftOut.reduce((sum, item) => sum + leftOutCostOf(item, inputs), 0),
  };
  for (const { visitCost, day, lastDay, owed } of visits) {
    figures.visitCostMinor += visitCost;
    figures.offRoadDays += lastDay - day + 1;
    for (const item of owed) {
      const daysLate = lastDay - dayOf(item.dueOn, fromOn);
      const { early, late } = dayPrices(item, weights);
      figures.itemsDone += 1;
      if (lastDay > lateDayOf(item, inputs)) figures.itemsTooLate += 1;
      if (daysLate > 0) {
        figures.daysLate += daysLate;
        figures.lateCostMinor += Math.round(daysLate * late);
      } else {
        figures.daysEarly -= daysLate;
        figures.earlyCostMinor += Math.round(-daysLate * early);
      }
    }
  }
  const { visitCostMinor, earlyCostMinor, lateCostMinor, leftOutCostMinor } = figures;
  return { ...figures, costMinor: visitCostMinor + earlyCostMinor + lateCostMinor + leftOutCostMinor };
}
