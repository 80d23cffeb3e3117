import type { CompiledProblem } from './compile-problem';
import { DayByDay } from './day-by-day';
import { MAX_ITEMS } from './plan-problem';
import { lastDayOf } from './stay-of';
import { pricedStays, type PricedStay } from './stay-offers';
import { CheapestVisits, VisitOffers } from './visit-offers';
import type { VisitPrices } from './visit-prices';

const MAX_SUBSETS = 1 << MAX_ITEMS;

/**
 * The cheapest plan of one vehicle at given prices, exactly. For every subset of its items the cheapest visit is found
 * over all slots; then the cheapest way to split all items into such visits and items left out (dynamic programme over
 * subsets). Where two of these visits fall on one day, or an item comes before what has to be done first, the same is
 * done day by day, which excludes both.
 *
 * The result stands in `visitCount`, `visitSlot`, `visitMask` and `leftOut` until the next call.
 */
export class VehicleOracle {
  visitCount = 0;
  readonly visitSlot = new Int32Array(MAX_ITEMS);
  readonly visitMask = new Int32Array(MAX_ITEMS);
  /** Mask of the items that are left out. */
  leftOut = 0;

  private readonly offers: VisitOffers;
  private readonly cheapest = new CheapestVisits();
  private readonly cheapestOfDay = new CheapestVisits();
  private readonly byDay: DayByDay;
  private stays: readonly PricedStay[] = [];
  /** `[mask]`: the least cost of all its items, and the visit or item left out that begins it. */
  private readonly splitCost = new Float64Array(MAX_SUBSETS);
  private readonly splitPart = new Int32Array(MAX_SUBSETS);

  constructor(private readonly compiled: CompiledProblem) {
    this.offers = new VisitOffers(compiled);
    this.byDay = new DayByDay(compiled);
  }

  /**
   * @param available `[row]`: what may be taken, the capacity itself for a bound or what a plan has left of it
   * @returns the cost with prices
   */
  solve(vehicle: number, prices: VisitPrices, available: Int32Array): number {
    const { itemStart, leftOutCost, optionStart, hasLongItems } = this.compiled;
    const { cost, slot } = this.cheapest;
    const first = itemStart[vehicle]!;
    const itemCount = itemStart[vehicle + 1]! - first;
    const subsets = 1 << itemCount;
    cost.fill(Infinity, 0, subsets);
    for (let bit = 0; bit < itemCount; bit++) {
      cost[1 << bit] = leftOutCost[first + bit]!;
      slot[1 << bit] = -1;
    }
    this.offers.offer(
      vehicle,
      optionStart[vehicle]!,
      optionStart[vehicle + 1]!,
      prices,
      available,
      this.cheapest,
    );
    if (hasLongItems[vehicle] === 1) this.offerStays(vehicle, prices, available);
    const total = this.split(subsets);
    return this.isInOrder(vehicle) ? total : this.solveByDay(vehicle, prices, available);
  }

  private offerStays(vehicle: number, prices: VisitPrices, available: Int32Array): void {
    const { cost, slot } = this.cheapest;
    this.stays = pricedStays(this.compiled, vehicle, prices, available);
    for (const stay of this.stays) {
      if (stay.cost >= cost[stay.mask]!) continue;
      cost[stay.mask] = stay.cost;
      slot[stay.mask] = stay.slot;
    }
  }

  /** The cheapest partition of all items into the cheapest visits and items left out. */
  private split(subsets: number): number {
    const { splitCost, splitPart } = this;
    const { cost, slot } = this.cheapest;
    splitCost[0] = 0;
    for (let subset = 1; subset < subsets; subset++) {
      const lowest = subset & -subset;
      const others = subset ^ lowest;
      let least = Infinity;
      let chosen = 0;
      // the lowest item is in some part: try each that holds it
      for (let more = others; ; more = (more - 1) & others) {
        const visit = cost[more | lowest]!;
        if (visit < least) {
          const total = visit + splitCost[others ^ more]!;
          if (total < least) {
            least = total;
            chosen = more | lowest;
          }
        }
        if (more === 0) break;
      }
      splitCost[subset] = least;
      splitPart[subset] = chosen;
    }
    this.visitCount = 0;
    this.leftOut = 0;
    for (let left = subsets - 1; left !== 0; left ^= splitPart[left]!) {
      const chosen = splitPart[left]!;
      if (slot[chosen] === -1) this.leftOut |= chosen;
      else this.addVisit(slot[chosen]!, chosen);
    }
    return splitCost[subsets - 1]!;
  }

  private addVisit(slot: number, mask: number): void {
    this.visitSlot[this.visitCount] = slot;
    this.visitMask[this.visitCount++] = mask;
  }

  /** Whether no two visits share a day, and everything that has to come first does. */
  private isInOrder(vehicle: number): boolean {
    const { compiled, visitCount, visitSlot, visitMask, leftOut } = this;
    const { itemStart, doFirst, hasOrder, dayCount } = compiled;
    const first = itemStart[vehicle]!;
    if (hasOrder[vehicle] === 1) {
      for (let visit = 0; visit < visitCount; visit++) {
        const day = visitSlot[visit]! % dayCount;
        let notYet = leftOut;
        for (let other = 0; other < visitCount; other++)
          if (visitSlot[other]! % dayCount > day) notYet |= visitMask[other]!;
        for (let left = visitMask[visit]!; left !== 0; left &= left - 1)
          if ((doFirst[first + 31 - Math.clz32(left & -left)]! & notYet) !== 0) return false;
      }
    }
    for (let visit = 1; visit < visitCount; visit++)
      for (let other = 0; other < visit; other++) if (this.doMeet(vehicle, visit, other)) return false;
    return true;
  }

  private doMeet(vehicle: number, a: number, b: number): boolean {
    const { compiled, visitSlot, visitMask } = this;
    const [slotA, slotB] = [visitSlot[a]!, visitSlot[b]!];
    return (
      slotA % compiled.dayCount <= lastDayOf(compiled, vehicle, slotB, visitMask[b]!) &&
      slotB % compiled.dayCount <= lastDayOf(compiled, vehicle, slotA, visitMask[a]!)
    );
  }

  private solveByDay(vehicle: number, prices: VisitPrices, available: Int32Array): number {
    const { compiled, offers, byDay, cheapestOfDay } = this;
    const { optionStart, optionDay, hasLongItems, itemStart } = compiled;
    const subsets = 1 << (itemStart[vehicle + 1]! - itemStart[vehicle]!);
    byDay.begin(vehicle, hasLongItems[vehicle] === 1 ? this.stays : []);
    const end = optionStart[vehicle + 1]!;
    for (let from = optionStart[vehicle]!; from < end;) {
      const day = optionDay[from]!;
      let until = from + 1;
      while (until < end && optionDay[until] === day) until++;
      cheapestOfDay.cost.fill(Infinity, 0, subsets);
      offers.offer(vehicle, from, until, prices, available, cheapestOfDay);
      byDay.pass(day, cheapestOfDay);
      from = until;
    }
    this.visitCount = 0;
    this.leftOut = byDay.trace((slot, mask) => {
      this.addVisit(slot, mask);
    });
    return byDay.cost;
  }
}
