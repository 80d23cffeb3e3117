import { CompiledProblem } from './compile-problem';
import { MAX_ITEMS } from './plan-problem';
import { PlanState } from './plan-state';
import { visitFits } from './visit-fits';

/**
 * The plan that a desk makes without looking ahead: item by item in order of the day it is due, at the nearest workshop,
 * on that day, else on the next free day before it is too late, else on the last free one before. What is done on a day
 * on which the vehicle is there anyway joins that visit. To compare with, and to show what planning saves.
 */
export function naivePlan(compiled: CompiledProblem): PlanState {
  const { vehicleCount, itemStart } = compiled;
  const state = new PlanState(compiled);
  const items: { vehicle: number; bit: number; dueDay: number }[] = [];
  for (let vehicle = 0; vehicle < vehicleCount; vehicle++)
    for (let bit = 0; bit < itemStart[vehicle + 1]! - itemStart[vehicle]!; bit++)
      items.push({ vehicle, bit, dueDay: dueDayOf(compiled, vehicle, bit, 0) });
  items.sort((a, b) => a.dueDay - b.dueDay || a.vehicle - b.vehicle || a.bit - b.bit);
  for (const { vehicle, bit, dueDay } of items) {
    state.lift(vehicle);
    if (!place(state, vehicle, bit, dueDay)) state.leftOut[vehicle]! |= 1 << bit;
    state.enter(vehicle);
  }
  return state;
}

/** The day an item is due, or what has to come first is, whichever is later. */
function dueDayOf(compiled: CompiledProblem, vehicle: number, bit: number, depth: number): number {
  const { problem, itemStart, sourceIndex, doFirst } = compiled;
  const item = itemStart[vehicle]! + bit;
  let { dueDay } = problem.vehicles[vehicle]!.items[sourceIndex[item]!]!;
  if (depth > MAX_ITEMS) return dueDay;
  for (let left = doFirst[item]!; left !== 0; left &= left - 1)
    dueDay = Math.max(dueDay, dueDayOf(compiled, vehicle, 31 - Math.clz32(left & -left), depth + 1) + 0.5);
  return dueDay;
}

/** Adds an item to the visits of a vehicle that is lifted out of the rows. */
function place(state: PlanState, vehicle: number, bit: number, dueOn: number): boolean {
  const { compiled, visitCount, visitSlot, visitMask, leftOut } = state;
  const { itemStart, earliestDay, latestDay, dayCount, doFirst, problem } = compiled;
  const item = itemStart[vehicle]! + bit;
  const from = vehicle * MAX_ITEMS;
  const home = problem.vehicles[vehicle]!.reach[0];
  if (home === undefined || (doFirst[item]! & leftOut[vehicle]!) !== 0) return false;
  let notBefore = earliestDay[item]!;
  for (let visit = 0; visit < visitCount[vehicle]!; visit++)
    if ((visitMask[from + visit]! & doFirst[item]!) !== 0)
      notBefore = Math.max(notBefore, visitSlot[from + visit]! % dayCount);
  if (notBefore > latestDay[item]!) return false;
  const due = Math.min(latestDay[item]!, Math.max(notBefore, Math.floor(dueOn)));
  const days: number[] = [];
  for (let day = due; day <= latestDay[item]!; day++) days.push(day);
  for (let day = due - 1; day >= notBefore; day--) days.push(day);
  for (const day of days) {
    const slot = home.workshop * dayCount + day;
    const there = visitSlot.subarray(from, from + visitCount[vehicle]!).indexOf(slot);
    const mask = (there < 0 ? 0 : visitMask[from + there]!) | (1 << bit);
    if (!visitFits(state, vehicle, slot, mask, there)) continue;
    if (there < 0) visitCount[vehicle]!++;
    const at = from + (there < 0 ? visitCount[vehicle]! - 1 : there);
    visitSlot[at] = slot;
    visitMask[at] = mask;
    return true;
  }
  return false;
}
