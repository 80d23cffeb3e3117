import type { CompiledProblem } from './compile-problem';
import { MAX_ITEMS } from './plan-problem';
import type { VisitPrices } from './visit-prices';

const MAX_SUBSETS = 1 << MAX_ITEMS;

/** For every subset of a vehicle's items, the cheapest visit that does it. */
export class CheapestVisits {
  /** `[mask]`: with prices; infinity where there is none. */
  readonly cost = new Float64Array(MAX_SUBSETS);
  /** `[mask]`: where; -1 where leaving it out is cheaper. */
  readonly slot = new Int32Array(MAX_SUBSETS);
}

/** Goes through the slots that a vehicle can visit and through all that can be done there within the day. */
export class VisitOffers {
  // what may be done at the option that is looked at, item by item
  private itemCount = 0;
  private readonly itemBit = new Int32Array(MAX_ITEMS);
  private readonly dayCost = new Float64Array(MAX_ITEMS);
  private readonly minutesPrice = new Float64Array(MAX_ITEMS);
  // and subset by subset, the empty one first
  private subsetCount = 0;
  private readonly mask = new Int32Array(MAX_SUBSETS);
  private readonly price = new Float64Array(MAX_SUBSETS);

  constructor(private readonly compiled: CompiledProblem) {}

  /**
   * Puts visits into `cheapest` where they are cheaper than what stands there.
   *
   * @param from the first of the vehicle's options to look at
   * @param until the one before which to stop
   * @param available `[row]`: what may be taken
   */
  offer(
    vehicle: number,
    from: number,
    until: number,
    prices: VisitPrices,
    available: Int32Array,
    cheapest: CheapestVisits,
  ): void {
    const { optionSlot, optionDay, optionCost, resourceCount, offRoadRows, depotOf, dayCount, hasSettling } =
      this.compiled;
    const { ofDayOffRoad } = prices;
    const depotDays = depotOf[vehicle]! * dayCount;
    const settles = hasSettling[vehicle] === 1;
    for (let option = from; option < until; option++) {
      const slot = optionSlot[option]!;
      const depotDay = depotDays + optionDay[option]!;
      if (available[offRoadRows + depotDay]! < 1 || available[slot * resourceCount]! < 1) continue;
      this.listItems(vehicle, option, prices, available, settles);
      if (this.itemCount === 0) continue;
      this.mask[0] = 0;
      this.price[0] = optionCost[option]! + ofDayOffRoad[depotDay]!;
      if (settles) this.listAllSubsets(vehicle);
      else this.listSubsetsThatFit(vehicle, slot, available);
      this.keep(vehicle, slot, prices, available, settles, cheapest);
    }
  }

  /** Those that fit by themselves; all where one may be settled by another, and so take no minutes. */
  private listItems(
    vehicle: number,
    option: number,
    prices: VisitPrices,
    available: Int32Array,
    settles: boolean,
  ): void {
    const { compiled, itemBit, dayCost, minutesPrice } = this;
    const { optionSlot, optionDay, optionMask, itemStart, itemClass, classMinutes } = compiled;
    const { resourceCount, firstJoint, earliestDay, costStart, dayCosts } = compiled;
    const { ofRow } = prices;
    const first = itemStart[vehicle]!;
    const slot = optionSlot[option]!;
    const row = slot * resourceCount;
    const day = optionDay[option]!;
    let count = 0;
    for (let left = optionMask[option]!; left !== 0; left &= left - 1) {
      const bit = left & -left;
      const item = first + 31 - Math.clz32(bit);
      const line = itemClass[item]! * resourceCount;
      let price = 0;
      let resource = 0;
      for (; resource < resourceCount; resource++) {
        const minutes = classMinutes[line + resource]!;
        if (!settles && minutes > available[row + resource]!) break;
        // what is made of others is priced with the whole of the visit
        if (resource < firstJoint) price += minutes * ofRow[row + resource]!;
      }
      if (resource < resourceCount) continue;
      itemBit[count] = bit;
      dayCost[count] = dayCosts[costStart[item]! + day - earliestDay[item]!]!;
      minutesPrice[count++] = price;
    }
    this.itemCount = count;
  }

  private listSubsetsThatFit(vehicle: number, slot: number, available: Int32Array): void {
    const { compiled, itemCount, itemBit, dayCost, minutesPrice, mask, price } = this;
    const { subsetStart, subsetMinutes, resourceCount, visitMinutes } = compiled;
    const start = subsetStart[vehicle]!;
    const row = slot * resourceCount;
    const limit = visitMinutes[slot]!;
    let whole = 0;
    for (let at = 0; at < itemCount; at++) whole |= itemBit[at]!;
    // where all of it fits, every part does
    const allFits = fits(
      subsetMinutes,
      (start + whole) * resourceCount,
      limit,
      available,
      row,
      resourceCount,
    );
    let count = 1;
    for (let at = 0; at < itemCount; at++) {
      const bit = itemBit[at]!;
      const more = dayCost[at]! + minutesPrice[at]!;
      const upTo = count;
      for (let each = 0; each < upTo; each++) {
        const subset = mask[each]! | bit;
        if (
          !allFits &&
          !fits(subsetMinutes, (start + subset) * resourceCount, limit, available, row, resourceCount)
        )
          continue;
        price[count] = price[each]! + more;
        mask[count++] = subset;
      }
    }
    this.subsetCount = count;
  }

  /** What settles another makes the whole shorter than its parts, so every subset counts. */
  private listAllSubsets(vehicle: number): void {
    const { compiled, itemCount, itemBit, dayCost, minutesPrice, mask, price } = this;
    const { subsetStart, carriedOut } = compiled;
    const start = subsetStart[vehicle]!;
    let count = 1;
    for (let at = 0; at < itemCount; at++) {
      const bit = itemBit[at]!;
      const upTo = count;
      for (let each = 0; each < upTo; each++) {
        const subset = mask[each]! | bit;
        const isSettled = (carriedOut[start + subset]! & bit) === 0;
        price[count] = price[each]! + dayCost[at]! + (isSettled ? 0 : minutesPrice[at]!);
        mask[count++] = subset;
      }
    }
    this.subsetCount = count;
  }

  private keep(
    vehicle: number,
    slot: number,
    prices: VisitPrices,
    available: Int32Array,
    mayNotFit: boolean,
    { cost, slot: slotOf }: CheapestVisits,
  ): void {
    const { compiled, subsetCount, mask, price } = this;
    const { subsetStart, subsetMinutes, resourceCount, firstJoint, visitMinutes } = compiled;
    const start = subsetStart[vehicle]!;
    const hasCuts = prices.hasCuts(slot);
    for (let each = 1; each < subsetCount; each++) {
      const subset = mask[each]!;
      let total = price[each]!;
      if (total >= cost[subset]!) continue;
      const minutes = (start + subset) * resourceCount;
      if (
        mayNotFit &&
        !fits(subsetMinutes, minutes, visitMinutes[slot]!, available, slot * resourceCount, resourceCount)
      )
        continue;
      for (let resource = firstJoint; resource < resourceCount; resource++)
        total += subsetMinutes[minutes + resource]! * prices.ofRow[slot * resourceCount + resource]!;
      if (total >= cost[subset]!) continue;
      if (hasCuts) {
        total += prices.cutsOf(slot, subsetMinutes, minutes);
        if (total >= cost[subset]!) continue;
      }
      cost[subset] = total;
      slotOf[subset] = slot;
    }
  }
}

function fits(
  subsetMinutes: Int32Array,
  minutes: number,
  limit: number,
  available: Int32Array,
  row: number,
  resourceCount: number,
): boolean {
  if (subsetMinutes[minutes]! > limit) return false;
  for (let resource = 0; resource < resourceCount; resource++)
    if (subsetMinutes[minutes + resource]! > available[row + resource]!) return false;
  return true;
}
