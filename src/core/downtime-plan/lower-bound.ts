import { CompiledProblem } from './compile-problem';
import { addUse } from './plan-state';
import { VehicleOracle } from './vehicle-oracle';
import { CutTable, cutTable, RoundingCut, VisitPrices } from './visit-prices';

/** Prices in steps of 1/1024: with whole costs and minutes every sum is exact in a double, and the bound holds. */
const STEPS = 1024;
/** Steps without a better bound after which the step length is cut. */
const PATIENCE = 10;

/**
 * A cost that no plan can beat, made better step by step. Every row and every cut gets a price; each vehicle takes its
 * cheapest plan at these prices by itself; the sum, less the prices of all there is, is below the cost of every plan,
 * whatever the prices (Lagrangian relaxation). Two things tighten it: a visit has to fit what its slot has for itself,
 * and rounding cuts.
 *
 * Prices move as in the volume algorithm of Barahona and Anbil (2000), from memory: from the best prices so far along
 * the mean of what past solutions took too much, by a step length after Polyak.
 */
export class LowerBound {
  /** The best bound so far. */
  best: number;
  /** `[row]`, then `[rowCount + cut]`: the prices it was found at. */
  readonly multipliers: Float64Array;
  stepsDone = 0;
  readonly table: CutTable;

  private readonly limit: Float64Array;
  private readonly weight: Float64Array;
  private readonly prices: VisitPrices;
  private readonly use: Float64Array;
  private readonly meanUse: Float64Array;
  private readonly trial: Float64Array;
  private target: number;
  private stepLength = 0.4;
  private largestShare = 0.3;
  private failures = 0;

  /**
   * @param start prices of the rows to begin with
   * @param upperBound the cost of a plan
   */
  constructor(
    private readonly compiled: CompiledProblem,
    private readonly oracle: VehicleOracle,
    cuts: readonly RoundingCut[],
    start: Float64Array | null,
    private upperBound: number,
  ) {
    const { rowCount, capacity } = compiled;
    this.table = cutTable(compiled, cuts);
    const length = rowCount + cuts.length;
    this.limit = new Float64Array(length);
    this.limit.set(capacity);
    this.table.cuts.forEach(({ limit }, cut) => (this.limit[rowCount + cut] = limit));
    this.weight = rowWeights(compiled, length);
    this.prices = new VisitPrices(compiled, this.table);
    this.use = new Float64Array(length);
    this.trial = new Float64Array(length);
    this.multipliers = new Float64Array(length);
    if (start !== null) this.multipliers.set(start.subarray(0, rowCount));
    this.best = this.evaluate(this.multipliers);
    this.meanUse = this.use.slice();
    // with prices to begin with, the best bound is near already
    this.target = Math.min(upperBound, this.best + (start === null ? 0.1 : 0.01) * Math.abs(this.best));
  }

  /** A better plan was found: the bound need not look above its cost. */
  lowerTo(cost: number): void {
    this.upperBound = Math.min(this.upperBound, cost);
  }

  /** One more evaluation. @returns false once steps have become too short to matter, or the gap is closed */
  step(): boolean {
    if (this.stepLength < 1e-4 || this.upperBound - this.best < 1) return false;
    const { multipliers, meanUse, limit, weight, trial, use } = this;
    let norm = 0;
    for (let at = 0; at < trial.length; at++) {
      const excess = meanUse[at]! - limit[at]!;
      if (excess > 0 || multipliers[at]! > 0) norm += excess * excess * weight[at]!;
    }
    const length = (this.stepLength * (this.target - this.best)) / Math.max(1e-9, norm);
    for (let at = 0; at < trial.length; at++) {
      const price = multipliers[at]! + length * weight[at]! * (meanUse[at]! - limit[at]!);
      trial[at] = price > 0 ? Math.round(price * STEPS) / STEPS : 0;
    }
    const value = this.evaluate(trial);
    this.stepsDone++;
    let along = 0;
    for (let at = 0; at < trial.length; at++)
      along += (use[at]! - limit[at]!) * (meanUse[at]! - limit[at]!) * weight[at]!;
    this.blend();
    if (value > this.best) {
      // the new direction agrees with the mean: longer steps
      if (along >= 0) this.stepLength = Math.min(2, this.stepLength * 1.1);
      multipliers.set(trial);
      this.best = value;
      this.failures = 0;
    } else if (++this.failures >= PATIENCE) {
      this.stepLength *= 0.66;
      this.failures = 0;
    }
    if (this.best > this.target - 0.02 * Math.abs(this.target))
      this.target = Math.min(this.upperBound, this.best + 0.04 * Math.abs(this.best));
    if (this.stepsDone % 50 === 0) this.largestShare *= 0.7;
    return true;
  }

  /** Mixes the new solution into the mean by the share that leaves the least excess. */
  private blend(): void {
    const { use, meanUse, limit, weight, largestShare } = this;
    let square = 0;
    let product = 0;
    for (let at = 0; at < use.length; at++) {
      const change = use[at]! - meanUse[at]!;
      square += change * change * weight[at]!;
      product += change * (meanUse[at]! - limit[at]!) * weight[at]!;
    }
    const least = square > 0 ? -product / square : largestShare;
    const share = Math.min(largestShare, Math.max(largestShare / 10, least));
    for (let at = 0; at < use.length; at++) meanUse[at]! += share * (use[at]! - meanUse[at]!);
  }

  /** The value at some prices; `use` is what the vehicles take there. */
  private evaluate(multipliers: Float64Array): number {
    const { compiled, oracle, prices, use, limit, table } = this;
    prices.set(multipliers);
    use.fill(0);
    let value = 0;
    for (let vehicle = 0; vehicle < compiled.vehicleCount; vehicle++) {
      value += oracle.solve(vehicle, prices, compiled.capacity);
      for (let visit = 0; visit < oracle.visitCount; visit++) {
        const slot = oracle.visitSlot[visit]!;
        const mask = oracle.visitMask[visit]!;
        addUse(compiled, vehicle, slot, mask, use, 1);
        addUseOfCuts(compiled, table, vehicle, slot, mask, use);
      }
    }
    for (let at = 0; at < multipliers.length; at++) value -= multipliers[at]! * limit[at]!;
    return value;
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
): void {
  const minutes = (subsetStart[vehicle]! + mask) * resourceCount;
  // a stay counts in the rows alone: leaving out the cuts of its days leaves the bound true
  if (subsetMinutes[minutes]! > visitMinutes[slot]!) return;
  for (let cut = start[slot]!; cut < start[slot + 1]!; cut++)
    use[rowCount + cut]! += Math.floor(subsetMinutes[minutes + resource[cut]!]! / divisor[cut]!);
}

/** Minutes and vehicles are of different size: prices move in the square of a mean piece of work. */
function rowWeights(
  { offRoadRows, itemClass, classMinutes, resourceCount }: CompiledProblem,
  length: number,
): Float64Array {
  let minutes = 0;
  for (const each of itemClass) minutes += classMinutes[each * resourceCount]!;
  const mean = Math.max(1, minutes / Math.max(1, itemClass.length));
  return new Float64Array(length).fill(1).fill(1 / (mean * mean), 0, offRoadRows);
}
