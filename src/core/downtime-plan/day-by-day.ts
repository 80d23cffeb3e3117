import type { CompiledProblem } from './compile-problem';
import type { PricedStay } from './stay-offers';
import type { CheapestVisits } from './visit-offers';

/**
 * The cheapest plan of one vehicle with at most one visit a day and everything that has to be done first done first: for
 * every day that the vehicle could visit, what may be done by then, at what least cost (dynamic programme over days and
 * subsets). Items that are left out are chosen at the outset, with everything that would have to follow them.
 *
 * `begin`, then `pass` for each day, in order; then `cost` and `trace`.
 */
export class DayByDay {
  private subsets = 0;
  private rows = 0;
  /** `[row * subsets + subset]`: least cost at which the subset is done after the days of the row, or left out. */
  private readonly costs: Float64Array;
  /** The visit by which it was reached, 0 for none; where; and the row from which. */
  private readonly visits: Int16Array;
  private readonly slots: Int32Array;
  private readonly since: Int16Array;
  /** `[subset]`: what has to be done first for any of it. */
  private readonly needs: Int16Array;
  private hasOrder = false;
  private stays: readonly PricedStay[] = [];
  private openStays: { startRow: number; stay: PricedStay }[] = [];
  private readonly possible: Int16Array;

  constructor(private readonly compiled: CompiledProblem) {
    const { subsetStart, vehicleCount, dayCount } = compiled;
    let most = 1;
    for (let vehicle = 0; vehicle < vehicleCount; vehicle++)
      most = Math.max(most, subsetStart[vehicle + 1]! - subsetStart[vehicle]!);
    const length = (dayCount + 1) * most;
    this.costs = new Float64Array(length);
    this.visits = new Int16Array(length);
    this.slots = new Int32Array(length);
    this.since = new Int16Array(length);
    this.needs = new Int16Array(most);
    this.possible = new Int16Array(most);
  }

  /** @param stays the visits over several days that it could make */
  begin(vehicle: number, stays: readonly PricedStay[]): void {
    const { compiled, costs, needs } = this;
    const { itemStart, leftOutCost, doFirst } = compiled;
    const first = itemStart[vehicle]!;
    const subsets = 1 << (itemStart[vehicle + 1]! - first);
    this.subsets = subsets;
    this.rows = 1;
    this.stays = stays;
    this.openStays = [];
    this.hasOrder = compiled.hasOrder[vehicle] === 1;
    costs[0] = 0;
    needs[0] = 0;
    for (let subset = 1; subset < subsets; subset++) {
      const bit = subset & -subset;
      const item = first + 31 - Math.clz32(bit);
      costs[subset] = costs[subset ^ bit]! + leftOutCost[item]!;
      needs[subset] = needs[subset ^ bit]! | doFirst[item]!;
    }
    if (!this.hasOrder) return;
    for (let dropped = 1; dropped < subsets; dropped++)
      if ((needs[subsets - 1 - dropped]! & dropped) !== 0) costs[dropped] = Infinity;
  }

  /**
   * Goes on to the evening of the next day.
   *
   * @param cheapest of that day alone
   */
  pass(day: number, cheapest: CheapestVisits): void {
    const { subsets, costs, possible } = this;
    let count = 0;
    for (let visit = subsets - 1; visit > 0; visit--)
      if (cheapest.cost[visit]! < Infinity) possible[count++] = visit;
    const beginning = this.stays.filter(({ stay }) => stay.firstDay === day);
    if (count === 0 && beginning.length === 0) return;
    this.endStays(day);
    const row = this.rows;
    const after = row * subsets;
    costs.copyWithin(after, after - subsets, after);
    this.visits.fill(0, after, after + subsets);
    this.since.fill(row - 1, after, after + subsets);
    const isBetter = this.addVisits(count, cheapest);
    for (const stay of beginning) this.openStays.push({ startRow: row - 1, stay });
    if (isBetter || beginning.length > 0) this.rows++;
  }

  /** Adds the possible visits of a day to the new last row. @returns whether any makes something cheaper */
  private addVisits(count: number, { cost, slot }: CheapestVisits): boolean {
    const { subsets, costs, visits, slots, possible, needs, hasOrder } = this;
    const after = this.rows * subsets;
    const before = after - subsets;
    let isBetter = false;
    for (let each = 0; each < count; each++) {
      const visit = possible[each]!;
      const own = cost[visit]!;
      const needed = needs[visit]! & ~visit;
      const others = (subsets - 1) ^ visit;
      for (let rest = others; ; rest = (rest - 1) & others) {
        const total = own + costs[before + rest]!;
        if (total < costs[after + (rest | visit)]! && !(hasOrder && (needed & ~rest) !== 0)) {
          const done = after + (rest | visit);
          costs[done] = total;
          visits[done] = visit;
          slots[done] = slot[visit]!;
          isBetter = true;
        }
        if (rest === 0) break;
      }
    }
    return isBetter;
  }

  /** Lets stays that are over before a day count from its morning on. */
  private endStays(day: number): void {
    const { subsets, costs, visits, slots, since, needs } = this;
    const now = (this.rows - 1) * subsets;
    for (let at = this.openStays.length - 1; at >= 0; at--) {
      const { startRow, stay } = this.openStays[at]!;
      if (stay.stay.lastDay >= day) continue;
      this.openStays.splice(at, 1);
      const before = startRow * subsets;
      for (let done = 1; done < subsets; done++) {
        if ((done & stay.mask) !== stay.mask || (needs[stay.mask]! & ~done) !== 0) continue;
        const cost = stay.cost + costs[before + (done ^ stay.mask)]!;
        if (cost >= costs[now + done]!) continue;
        costs[now + done] = cost;
        visits[now + done] = stay.mask;
        slots[now + done] = stay.slot;
        since[now + done] = startRow;
      }
    }
  }

  /** The cost of the cheapest plan, once every day has passed. */
  get cost(): number {
    this.endStays(Infinity);
    return this.costs[this.rows * this.subsets - 1]!;
  }

  /**
   * Tells the visits of the cheapest plan, the last first.
   *
   * @returns mask of what is left out
   */
  trace(tell: (slot: number, mask: number) => void): number {
    const { subsets, visits, slots, since } = this;
    this.endStays(Infinity);
    let done = subsets - 1;
    for (let row = this.rows - 1; row > 0;) {
      const at = row * subsets + done;
      const visit = visits[at]!;
      if (visit !== 0) tell(slots[at]!, visit);
      done ^= visit;
      row = since[at]!;
    }
    return done;
  }
}
