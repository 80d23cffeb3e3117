import { MAX_ITEMS } from './plan-problem';
import { PlanState } from './plan-state';
import { longItemsAt, stayOf } from './stay-of';

/**
 * Whether a vehicle that is lifted out of the rows of a plan could make a visit, next to its other visits.
 *
 * @param instead which of its visits this one would replace; -1 for none
 */
export function visitFits(
  { compiled, available, visitCount, visitSlot, visitMask }: PlanState,
  vehicle: number,
  slot: number,
  mask: number,
  instead: number,
): boolean {
  const { dayCount, resourceCount, offRoadRows, depotOf, subsetStart, itemStart, earliestDay, latestDay } =
    compiled;
  if (compiled.visitMinutes[slot] === 0) return false;
  const stay = stayOf(
    compiled,
    slot,
    subsetStart[vehicle]! + mask,
    (longItemsAt(compiled, vehicle, Math.floor(slot / dayCount)) & mask) !== 0,
  );
  if (stay === null) return false;
  for (let left = mask; left !== 0; left &= left - 1) {
    const item = itemStart[vehicle]! + 31 - Math.clz32(left & -left);
    if (earliestDay[item]! > stay.firstDay || latestDay[item]! < stay.lastDay) return false;
  }
  const { blackoutDays } = compiled.problem.vehicles[vehicle]!;
  if (blackoutDays.some((day) => stay.firstDay <= day && day <= stay.lastDay)) return false;
  for (let day = stay.firstDay; day <= stay.lastDay; day++)
    if (available[offRoadRows + depotOf[vehicle]! * dayCount + day]! < 1) return false;
  for (const [at, each] of stay.slots.entries())
    for (let resource = 0; resource < resourceCount; resource++)
      if (stay.minutes[at * resourceCount + resource]! > available[each * resourceCount + resource]!)
        return false;
  for (let other = 0; other < visitCount[vehicle]!; other++) {
    if (other === instead) continue;
    const theirs = visitSlot[vehicle * MAX_ITEMS + other]!;
    const subset = subsetStart[vehicle]! + visitMask[vehicle * MAX_ITEMS + other]!;
    const taken = stayOf(compiled, theirs, subset, true);
    if (taken !== null && taken.firstDay <= stay.lastDay && stay.firstDay <= taken.lastDay) return false;
  }
  return true;
}
