import { SeededRandom } from '../shared/seeded-random';
import { CompiledProblem } from './compile-problem';
import { MAX_ITEMS } from './plan-problem';
import { PlanState } from './plan-state';
import { SavedVehicle } from './saved-vehicle';
import { SlotVisitors } from './slot-visitors';
import { VehicleOracle } from './vehicle-oracle';
import { cutTable, VisitPrices } from './visit-prices';

/** What part of the prices counts when a vehicle is put back: none is greedy, all of it leaves dear hours to others. */
const SHARES = [0, 0.3, 0.6, 0.85, 1, 1, 1, 1.15];
/** How often prices are shaken as hard as leaving something out is dear. */
const DEAR_SHARE = 0.1;
const LARGEST_GROUP = 20;
/** Of so many vehicles, the one that is farthest from its ideal is taken out first; of few vehicles fewer. */
const CANDIDATES = 8;
const VEHICLES_FOR_ANOTHER = 60;
/** The same for those beside it. */
const CANDIDATES_BESIDE = 2;
/** How often a vehicle with something left out comes first, as long as there is one. */
const RESCUE_SHARE = 0.3;
const SHAKEN_SHARE = 0.25;
/** More vehicles than that have so much to do in their places that prices need less shaking. */
const VEHICLES_SHAKEN = 100;
/** Attempts for each vehicle from which on it pays to warm up once more, and when (both tried out on made-up fleets). */
const ATTEMPTS_FOR_TWO_FALLS = 2_000;
const FIRST_FALL = 0.6;

/**
 * Large-neighbourhood search (Shaw 1998, from memory): takes a few vehicles that are in each other's way out of the
 * plan and puts them back one by one, each where it is cheapest at the prices of the bound, in a new order. A worse plan
 * is accepted with a probability that falls as the search goes on (simulated annealing).
 */
export class PlanSearch {
  readonly best: PlanState;
  iterationsDone = 0;

  private readonly visitors: SlotVisitors;
  private readonly pricesByShare: VisitPrices[];
  private readonly inGroup: Uint8Array;
  private readonly saved: SavedVehicle[];
  /** Vehicles whose plan may differ from that of the best. */
  private readonly changed = new Set<number>();
  /** `[vehicle]`: its least cost with the prices of the bound, were it alone. */
  private readonly ideal: Float64Array;
  private readonly candidates: number;
  private readonly shakenShare: number;
  private readonly noise: Float64Array;
  private readonly shaken: VisitPrices;
  /** What a minute costs if a visit costs as much as its work takes. */
  private readonly minutePrice: number;
  private incomplete: number[] = [];
  private nextLook = 0;
  private readonly meanVisit: number;
  /** Cost of leaving an item out, in visits. */
  private readonly dearness: number;
  private readonly hottest: number;
  private readonly coldest: number;
  /** Share of the search after which it warms up again. */
  private readonly firstFall: number;

  constructor(
    private readonly compiled: CompiledProblem,
    private readonly state: PlanState,
    private readonly oracle: VehicleOracle,
    private readonly multipliers: Float64Array,
    private readonly random: SeededRandom,
    private readonly searchIterations: number,
  ) {
    this.best = state.snapshot();
    this.visitors = new SlotVisitors(state);
    const noCuts = cutTable(compiled, []);
    const bySharePrices = new Map(
      [...new Set(SHARES)].map((share) => [share, new VisitPrices(compiled, noCuts).set(multipliers, share)]),
    );
    this.pricesByShare = SHARES.map((share) => bySharePrices.get(share)!);
    this.inGroup = new Uint8Array(compiled.vehicleCount);
    this.saved = Array.from({ length: LARGEST_GROUP }, () => new SavedVehicle());
    let visitCosts = 0;
    for (const cost of compiled.optionCost) visitCosts += cost;
    const meanVisit = visitCosts / Math.max(1, compiled.optionCost.length);
    this.meanVisit = meanVisit;
    let leftOutCosts = 0;
    for (const cost of compiled.leftOutCost) leftOutCosts += cost;
    this.dearness = Math.max(
      1,
      leftOutCosts / Math.max(1, compiled.leftOutCost.length) / Math.max(1, meanVisit),
    );
    const atPrices = bySharePrices.get(1)!;
    this.ideal = new Float64Array(compiled.vehicleCount);
    for (let vehicle = 0; vehicle < compiled.vehicleCount; vehicle++)
      this.ideal[vehicle] = oracle.solve(vehicle, atPrices, compiled.capacity);
    const { vehicleCount } = compiled;
    this.candidates = Math.min(CANDIDATES, Math.max(1, Math.round(vehicleCount / VEHICLES_FOR_ANOTHER)));
    this.shakenShare = SHAKEN_SHARE * Math.min(1, VEHICLES_SHAKEN / Math.max(1, vehicleCount));
    this.noise = new Float64Array(compiled.rowCount);
    this.shaken = new VisitPrices(compiled, noCuts);
    let minutes = 0;
    for (const each of compiled.classMinutes) minutes += each;
    this.minutePrice = meanVisit / Math.max(1, minutes / Math.max(1, compiled.classCount));
    // few vehicles and much time: hot enough to get out of a corner; many vehicles: no time for detours
    const perVehicle = searchIterations / Math.max(1, compiled.vehicleCount);
    const heat = Math.min(15, (500 / Math.max(1, compiled.vehicleCount)) ** 1.5, (perVehicle / 150) ** 1.5);
    this.hottest = 0.2 * Math.max(1, heat) * meanVisit;
    this.coldest = 0.005 * meanVisit;
    this.firstFall = perVehicle < ATTEMPTS_FOR_TWO_FALLS ? 1 : FIRST_FALL;
  }

  /**
   * @param iterations how many to make now
   * @param budget how many there will be in all: the temperature falls over them
   */
  run(iterations: number): void {
    const { random, state, compiled } = this;
    if (compiled.vehicleCount === 0) {
      this.iterationsDone += iterations;
      return;
    }
    let temperature = this.hottest;
    for (let each = 0; each < iterations; each++, this.iterationsDone++) {
      if ((each & 63) === 0) {
        temperature = this.temperature();
        if (this.iterationsDone >= this.nextLook) this.lookForLeftOut();
        this.shake();
      }
      const isRescue = this.incomplete.length > 0 && random.next() < RESCUE_SHARE;
      const chosen = isRescue
        ? this.incomplete[random.integer(0, this.incomplete.length - 1)]!
        : this.farthestOf(this.candidates, () => random.integer(0, compiled.vehicleCount - 1));
      const group = this.group(chosen, isRescue);
      const before = state.total;
      group.forEach((vehicle, at) => {
        this.saved[at]!.save(state, vehicle);
        this.visitors.leave(vehicle);
        state.remove(vehicle);
      });
      const order = this.shuffled(group);
      if (isRescue) toFront(order, chosen);
      const prices = this.prices(isRescue);
      for (const vehicle of order) {
        this.oracle.solve(vehicle, prices, state.available);
        state.putSolved(vehicle, this.oracle);
        this.visitors.enter(vehicle);
      }
      const worse = state.total - before;
      if (worse > 0 && random.next() >= Math.exp(-worse / temperature)) {
        for (const vehicle of group) {
          this.visitors.leave(vehicle);
          state.remove(vehicle);
        }
        group.forEach((vehicle, at) => {
          this.saved[at]!.restore(state, vehicle);
          this.visitors.enter(vehicle);
        });
        continue;
      }
      for (const vehicle of group) this.changed.add(vehicle);
      if (state.total < this.best.total) this.keep();
    }
  }

  /** Falls from the hottest to the coldest; where there is time for it, once more from in between. */
  private temperature(): number {
    const { hottest, coldest, firstFall } = this;
    const share = Math.min(1, this.iterationsDone / this.searchIterations);
    if (share <= firstFall) return hottest * (coldest / hottest) ** (share / firstFall);
    const between = Math.sqrt(hottest * coldest);
    return between * (coldest / between) ** ((share - firstFall) / (1 - firstFall));
  }

  /** Of some vehicles drawn at random, the one whose plan is farthest from its ideal. */
  private farthestOf(count: number, draw: () => number): number {
    let farthest = draw();
    let most = this.farFromIdeal(farthest);
    for (let each = 1; each < count; each++) {
      const vehicle = draw();
      const far = this.farFromIdeal(vehicle);
      if (far <= most) continue;
      farthest = vehicle;
      most = far;
    }
    return farthest;
  }

  /** What a vehicle pays, with the prices of the bound, above what would be cheapest for it alone. */
  private farFromIdeal(vehicle: number): number {
    const { state, compiled, multipliers, ideal } = this;
    const { resourceCount, subsetStart, subsetMinutes, offRoadRows, depotOf, dayCount } = compiled;
    let far = state.cost[vehicle]! - ideal[vehicle]!;
    for (let visit = 0; visit < state.visitCount[vehicle]!; visit++) {
      const slot = state.visitSlot[vehicle * MAX_ITEMS + visit]!;
      const minutes = (subsetStart[vehicle]! + state.visitMask[vehicle * MAX_ITEMS + visit]!) * resourceCount;
      for (let resource = 0; resource < resourceCount; resource++)
        far += multipliers[slot * resourceCount + resource]! * subsetMinutes[minutes + resource]!;
      far += multipliers[offRoadRows + depotOf[vehicle]! * dayCount + (slot % dayCount)]!;
    }
    return far;
  }

  private prices(isRescue: boolean): VisitPrices {
    const { random, pricesByShare, shaken } = this;
    if (random.next() < (isRescue ? 0.7 : this.shakenShare)) return shaken;
    return pricesByShare[random.integer(0, SHARES.length - 1)]!;
  }

  /** Prices at random around those of the bound, so that full slots are tried in other ways. */
  private shake(): void {
    const { random, multipliers, compiled, noise, dearness, meanVisit, minutePrice } = this;
    const { offRoadRows } = compiled;
    for (let row = 0; row < noise.length; row++) {
      const strength = random.next();
      const own = multipliers[row]! * 2 * random.next();
      const scale = random.next() < DEAR_SHARE ? dearness : 1;
      const price = row < offRoadRows ? minutePrice : meanVisit;
      noise[row] = own + scale * price * strength ** 3;
    }
    this.shaken.set(noise);
  }

  /** Notes which vehicles have something left out. */
  private lookForLeftOut(): void {
    const { state, compiled } = this;
    this.incomplete = [];
    for (let vehicle = 0; vehicle < compiled.vehicleCount; vehicle++)
      if (state.leftOut[vehicle] !== 0) this.incomplete.push(vehicle);
    this.nextLook = this.iterationsDone + Math.max(64, compiled.vehicleCount / 8);
  }

  private keep(): void {
    const { best, state } = this;
    for (const vehicle of this.changed) best.remove(vehicle);
    for (const vehicle of this.changed) {
      const from = vehicle * MAX_ITEMS;
      best.visitCount[vehicle] = state.visitCount[vehicle]!;
      best.leftOut[vehicle] = state.leftOut[vehicle]!;
      for (let at = from; at < from + state.visitCount[vehicle]!; at++) {
        best.visitSlot[at] = state.visitSlot[at]!;
        best.visitMask[at] = state.visitMask[at]!;
      }
      best.enter(vehicle);
    }
    this.changed.clear();
  }

  /** A vehicle and some that are where it is, or could be. */
  private group(chosen: number, isRescue: boolean): number[] {
    const { random, compiled, state, visitors, inGroup } = this;
    const { optionStart, optionSlot, optionMask, dayCount } = compiled;
    const size = Math.min(
      compiled.vehicleCount,
      2 + Math.floor(random.next() * random.next() * (LARGEST_GROUP - 1)),
    );
    const group = [chosen];
    inGroup[chosen] = 1;
    const slots: number[] = [];
    for (let visit = 0; visit < state.visitCount[chosen]!; visit++)
      slots.push(state.visitSlot[chosen * MAX_ITEMS + visit]!);
    const wanted = isRescue ? state.leftOut[chosen]! : -1;
    const options = optionStart[chosen + 1]! - optionStart[chosen]!;
    for (let more = 0; options > 0 && more < (isRescue ? 12 : 3); more++) {
      const option = optionStart[chosen]! + random.integer(0, options - 1);
      if ((optionMask[option]! & wanted) !== 0) slots.push(optionSlot[option]!);
    }
    for (let tries = 0; group.length < size && tries < 6 * size && slots.length > 0; tries++) {
      let slot = slots[random.integer(0, slots.length - 1)]!;
      if (random.next() < 0.35) {
        const day = slot % dayCount;
        const near = Math.max(0, Math.min(dayCount - 1, day + random.integer(-4, 4)));
        slot += near - day;
      }
      const there = visitors.at(slot);
      if (there.length === 0) continue;
      const vehicle = this.farthestOf(CANDIDATES_BESIDE, () => there[random.integer(0, there.length - 1)]!);
      if (inGroup[vehicle] === 1) continue;
      inGroup[vehicle] = 1;
      group.push(vehicle);
      if (random.next() < 0.25)
        for (let visit = 0; visit < state.visitCount[vehicle]!; visit++)
          slots.push(state.visitSlot[vehicle * MAX_ITEMS + visit]!);
    }
    for (const vehicle of group) inGroup[vehicle] = 0;
    return group;
  }

  private shuffled(group: readonly number[]): number[] {
    const order = [...group];
    for (let last = order.length - 1; last > 0; last--) {
      const other = this.random.integer(0, last);
      [order[last], order[other]] = [order[other]!, order[last]!];
    }
    return order;
  }
}

function toFront(order: number[], vehicle: number): void {
  const at = order.indexOf(vehicle);
  order.splice(at, 1);
  order.unshift(vehicle);
}
