import { CompiledProblem } from './compile-problem';
import { MAX_ITEMS } from './plan-problem';
import { addUse } from './plan-state';
import { VehicleOracle } from './vehicle-oracle';
import { CutTable, cutTable, RoundingCut, VisitPrices } from './visit-prices';

/** Prices in steps of 1/1024: with whole costs and minutes every sum is exact in a double, and the bound holds. */
const STEPS = 1024;
/** Parts of the fleet; after each the prices move. */
const PARTS = 20;
/** Passes between two looks at what the bound has become. */
const LOOK_EVERY = 10;
/** The first step, in steps after Polyak towards a bound that is a tenth better. */
const FIRST_STEP = 8;
/** The last step, as a share of the first. */
const LAST_STEP = 0.007;

/**
 * A cost that no plan can beat, made better pass by pass. Every row and every cut gets a price; each vehicle takes its
 * cheapest plan at these prices by itself; the sum, less the prices of all there is, is below the cost of every plan,
 * whatever the prices (Lagrangian relaxation). Two things tighten it: a visit has to fit what its slot has for itself,
 * and rounding cuts.
 *
 * Prices move after every part of the fleet by what all vehicles together last took too much (incremental aggregated
 * subgradients, after Blatt, Hero and Gauchman 2007, from memory), by steps that become shorter at a constant rate. So a
 * pass, which costs no more than one evaluation, moves them many times.
 */
export class LowerBound {
  /** The best bound so far. */
  best: number;
  /** `[row]`, then `[rowCount + cut]`: the prices it was found at. */
  readonly multipliers: Float64Array;
  passesDone = 0;

  private readonly table: CutTable;
  private readonly weight: Float64Array;
  private readonly limit: Float64Array;
  private readonly prices: VisitPrices;
  private readonly current: Float64Array;
  /** Mean of the prices over a pass. */
  private readonly mean: Float64Array;
  /** `[row]`, then cuts: what all vehicles together take too much. */
  private readonly excess: Float64Array;
  private readonly visitCount: Int32Array;
  private readonly visitSlot: Int32Array;
  private readonly visitMask: Int32Array;
  private readonly firstStep: number;

  /**
   * @param passes how many there will be in all: the steps become shorter over them
   * @param before a bound of the same problem, whose prices are near the best
   */
  constructor(
    private readonly compiled: CompiledProblem,
    private readonly oracle: VehicleOracle,
    cuts: readonly RoundingCut[],
    readonly passes: number,
    before: LowerBound | null,
  ) {
    const { rowCount, capacity, vehicleCount } = compiled;
    this.table = cutTable(compiled, cuts);
    const length = rowCount + cuts.length;
    this.limit = new Float64Array(length);
    this.limit.set(capacity);
    this.table.cuts.forEach(({ limit }, cut) => (this.limit[rowCount + cut] = limit));
    this.weight = rowWeights(compiled, this.limit);
    this.prices = new VisitPrices(compiled, this.table);
    this.visitCount = new Int32Array(vehicleCount);
    this.visitSlot = new Int32Array(vehicleCount * MAX_ITEMS);
    this.visitMask = new Int32Array(vehicleCount * MAX_ITEMS);
    this.excess = this.limit.map((limit) => -limit);
    this.multipliers = new Float64Array(length);
    if (before !== null) this.multipliers.set(before.multipliers.subarray(0, rowCount));
    this.current = this.multipliers.slice();
    this.mean = this.multipliers.slice();
    this.best = this.evaluate(this.multipliers);
    this.firstStep =
      before === null
        ? (FIRST_STEP * 0.1 * Math.abs(this.best)) / Math.max(1e-9, this.squareOfExcess())
        : before.firstStep;
  }

  /** One more pass, of those that there will be. */
  pass(): void {
    const { compiled, current, mean, excess, weight, passes, prices } = this;
    const parts = Math.min(PARTS, compiled.vehicleCount);
    const step = (this.firstStep / parts) * LAST_STEP ** (this.passesDone / passes);
    mean.fill(0);
    for (let part = 0; part < parts; part++) {
      prices.set(current);
      for (let vehicle = part; vehicle < compiled.vehicleCount; vehicle += parts) this.solve(vehicle);
      for (let at = 0; at < current.length; at++) {
        const price = Math.max(0, current[at]! + step * weight[at]! * excess[at]!);
        current[at] = price;
        mean[at]! += price / parts;
      }
    }
    this.passesDone++;
    if (this.passesDone % LOOK_EVERY === 0 || this.passesDone >= passes) this.look();
  }

  private look(): void {
    const rounded = this.mean.map((price) => Math.round(price * STEPS) / STEPS);
    const value = this.evaluate(rounded);
    if (value <= this.best) return;
    this.best = value;
    this.multipliers.set(rounded);
  }

  /** The value at some prices, all vehicles solved at them. */
  private evaluate(multipliers: Float64Array): number {
    this.prices.set(multipliers);
    let value = 0;
    for (let vehicle = 0; vehicle < this.compiled.vehicleCount; vehicle++) value += this.solve(vehicle);
    for (let at = 0; at < multipliers.length; at++) value -= multipliers[at]! * this.limit[at]!;
    return value;
  }

  /** Gives back what a vehicle took, and lets it take what is cheapest now. */
  private solve(vehicle: number): number {
    const { compiled, oracle, prices, visitSlot, visitMask } = this;
    const from = vehicle * MAX_ITEMS;
    this.count(vehicle, -1);
    const value = oracle.solve(vehicle, prices, compiled.capacity);
    this.visitCount[vehicle] = oracle.visitCount;
    for (let visit = 0; visit < oracle.visitCount; visit++) {
      visitSlot[from + visit] = oracle.visitSlot[visit]!;
      visitMask[from + visit] = oracle.visitMask[visit]!;
    }
    this.count(vehicle, 1);
    return value;
  }

  private count(vehicle: number, times: 1 | -1): void {
    const { compiled, table, excess, visitSlot, visitMask } = this;
    const from = vehicle * MAX_ITEMS;
    for (let at = from; at < from + this.visitCount[vehicle]!; at++) {
      addUse(compiled, vehicle, visitSlot[at]!, visitMask[at]!, excess, times);
      addUseOfCuts(compiled, table, vehicle, visitSlot[at]!, visitMask[at]!, excess, times);
    }
  }

  private squareOfExcess(): number {
    const { excess, weight } = this;
    let square = 0;
    for (let at = 0; at < excess.length; at++)
      if (excess[at]! > 0) square += excess[at]! * excess[at]! * weight[at]!;
    return square;
  }
}

/**
 * Cuts for the minute rows that have a price: where it pays to crowd, portions of more than a half, a third or a quarter
 * of what there is cannot be mixed freely.
 */
export function roundingCuts(
  { capacity, offRoadRows }: CompiledProblem,
  multipliers: Float64Array,
): RoundingCut[] {
  const cuts: RoundingCut[] = [];
  for (let row = 0; row < offRoadRows; row++) {
    if (multipliers[row] === 0 || capacity[row]! < 2) continue;
    const divisors = new Set([1, 2, 3].map((portions) => Math.floor(capacity[row]! / (portions + 1)) + 1));
    for (const divisor of divisors)
      if (divisor > 1) cuts.push({ row, divisor, limit: Math.floor(capacity[row]! / divisor) });
  }
  return cuts;
}

function addUseOfCuts(
  { subsetStart, subsetMinutes, resourceCount, rowCount, visitMinutes }: CompiledProblem,
  { start, resource, divisor }: CutTable,
  vehicle: number,
  slot: number,
  mask: number,
  use: Float64Array,
  times: 1 | -1,
): void {
  const minutes = (subsetStart[vehicle]! + mask) * resourceCount;
  // a stay counts in the rows alone: leaving out the cuts of its days leaves the bound true
  if (subsetMinutes[minutes]! > visitMinutes[slot]!) return;
  for (let cut = start[slot]!; cut < start[slot + 1]!; cut++)
    use[rowCount + cut]! += times * Math.floor(subsetMinutes[minutes + resource[cut]!]! / divisor[cut]!);
}

/** Minutes and vehicles are of different size, and where there is much of something a minute too much matters less. */
function rowWeights(
  { offRoadRows, itemClass, classMinutes, resourceCount }: CompiledProblem,
  limit: Float64Array,
): Float64Array {
  let minutes = 0;
  for (const each of itemClass) minutes += classMinutes[each * resourceCount]!;
  const mean = Math.max(1, minutes / Math.max(1, itemClass.length));
  return limit.map((most, at) => 1 / (at < offRoadRows ? mean * Math.max(mean, most) : Math.max(1, most)));
}
