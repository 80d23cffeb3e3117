import type { CompiledProblem } from './compile-problem';
import { longItemsAt, stayOf, type Stay } from './stay-of';
import type { VisitPrices } from './visit-prices';

/** A visit over several days, priced. */
export interface PricedStay {
  readonly stay: Stay;
  readonly slot: number;
  readonly mask: number;
  readonly cost: number;
}

/** All visits of a vehicle that last for more than a day, as far as `available` allows. */
export function pricedStays(
  compiled: CompiledProblem,
  vehicle: number,
  prices: VisitPrices,
  available: Int32Array,
): PricedStay[] {
  const { optionStart, optionSlot, optionMask, optionCost, dayCount, subsetStart } = compiled;
  const stays: PricedStay[] = [];
  for (let option = optionStart[vehicle]!; option < optionStart[vehicle + 1]!; option++) {
    const slot = optionSlot[option]!;
    const whole = optionMask[option]!;
    const long = longItemsAt(compiled, vehicle, Math.floor(slot / dayCount));
    for (let mask = whole; mask !== 0; mask = (mask - 1) & whole) {
      if ((mask & long) === 0) continue;
      const stay = stayOf(compiled, slot, subsetStart[vehicle]! + mask, true);
      if (stay === null || stay.lastDay === stay.firstDay) continue;
      const cost = optionCost[option]! + priceOf(compiled, vehicle, mask, stay, prices, available);
      if (cost < Infinity) stays.push({ stay, slot, mask, cost });
    }
  }
  return stays;
}

/**
 * What a stay costs, the way there aside. What the cuts of its days would charge is left out, which a bound may.
 *
 * @returns infinity where it cannot be
 */
function priceOf(
  compiled: CompiledProblem,
  vehicle: number,
  mask: number,
  { slots, minutes, firstDay, lastDay }: Stay,
  prices: VisitPrices,
  available: Int32Array,
): number {
  const { itemStart, latestDay, earliestDay, costStart, dayCosts, depotOf, dayCount } = compiled;
  const { offRoadRows, resourceCount, problem } = compiled;
  let cost = 0;
  for (let left = mask; left !== 0; left &= left - 1) {
    const item = itemStart[vehicle]! + 31 - Math.clz32(left & -left);
    if (latestDay[item]! < lastDay) return Infinity;
    cost += dayCosts[costStart[item]! + lastDay - earliestDay[item]!]!;
  }
  const { blackoutDays } = problem.vehicles[vehicle]!;
  if (blackoutDays.some((day) => firstDay <= day && day <= lastDay)) return Infinity;
  for (let day = firstDay; day <= lastDay; day++) {
    const at = depotOf[vehicle]! * dayCount + day;
    if (available[offRoadRows + at]! < 1) return Infinity;
    cost += prices.ofDayOffRoad[at]!;
  }
  for (const [at, slot] of slots.entries()) {
    for (let resource = 0; resource < resourceCount; resource++) {
      const taken = minutes[at * resourceCount + resource]!;
      if (taken > available[slot * resourceCount + resource]!) return Infinity;
      cost += taken * prices.ofRow[slot * resourceCount + resource]!;
    }
  }
  return cost;
}
