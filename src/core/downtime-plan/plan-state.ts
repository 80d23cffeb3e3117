import { CompiledProblem } from './compile-problem';
import { MAX_ITEMS, PlanDraft, PlannedVisit } from './plan-problem';
import { lastDayOf, stayOf } from './stay-of';
import { VehicleOracle } from './vehicle-oracle';

/** A plan while it is worked on: visits of every vehicle, and what is left of every row. */
export class PlanState {
  readonly visitCount: Int32Array;
  /** `[vehicle * MAX_ITEMS + visit]` */
  readonly visitSlot: Int32Array;
  readonly visitMask: Int32Array;
  readonly leftOut: Int32Array;
  /** `[vehicle]` */
  readonly cost: Float64Array;
  /** `[row]` */
  readonly available: Int32Array;
  total = 0;

  /** Nothing planned yet, and nothing counted as left out. */
  constructor(readonly compiled: CompiledProblem) {
    const { vehicleCount, capacity } = compiled;
    this.visitCount = new Int32Array(vehicleCount);
    this.visitSlot = new Int32Array(vehicleCount * MAX_ITEMS);
    this.visitMask = new Int32Array(vehicleCount * MAX_ITEMS);
    this.leftOut = new Int32Array(vehicleCount);
    this.cost = new Float64Array(vehicleCount);
    this.available = capacity.slice();
  }

  /** Takes a vehicle out of the plan; it costs nothing until it is put back. */
  remove(vehicle: number): void {
    this.lift(vehicle);
    this.visitCount[vehicle] = 0;
    this.leftOut[vehicle] = 0;
    this.cost[vehicle] = 0;
  }

  /** Gives back what a vehicle takes; its visits stay in the arrays, to be changed and entered again. */
  lift(vehicle: number): void {
    this.take(vehicle, -1);
    this.total -= this.cost[vehicle]!;
  }

  /** Puts a vehicle that is not in the plan where the oracle just found best. */
  putSolved(vehicle: number, oracle: VehicleOracle): void {
    const from = vehicle * MAX_ITEMS;
    this.visitCount[vehicle] = oracle.visitCount;
    for (let visit = 0; visit < oracle.visitCount; visit++) {
      this.visitSlot[from + visit] = oracle.visitSlot[visit]!;
      this.visitMask[from + visit] = oracle.visitMask[visit]!;
    }
    this.leftOut[vehicle] = oracle.leftOut;
    this.enter(vehicle);
  }

  /** Counts in the visits that stand in the arrays for a vehicle. */
  enter(vehicle: number): void {
    this.cost[vehicle] = this.costOf(vehicle);
    this.total += this.cost[vehicle];
    this.take(vehicle, 1);
  }

  /** What the plan of one vehicle costs by itself. */
  private costOf(vehicle: number): number {
    const { itemStart, leftOutCost } = this.compiled;
    const first = itemStart[vehicle]!;
    let cost = 0;
    for (let left = this.leftOut[vehicle]!; left !== 0; left &= left - 1)
      cost += leftOutCost[first + 31 - Math.clz32(left & -left)]!;
    for (let visit = 0; visit < this.visitCount[vehicle]!; visit++)
      cost += visitCostOf(
        this.compiled,
        vehicle,
        this.visitSlot[vehicle * MAX_ITEMS + visit]!,
        this.visitMask[vehicle * MAX_ITEMS + visit]!,
      );
    return cost;
  }

  private take(vehicle: number, times: 1 | -1): void {
    const { available, compiled } = this;
    for (let visit = 0; visit < this.visitCount[vehicle]!; visit++) {
      const at = vehicle * MAX_ITEMS + visit;
      addUse(compiled, vehicle, this.visitSlot[at]!, this.visitMask[at]!, available, -times);
    }
  }

  /** The plan in the terms of the problem. */
  draft(): PlanDraft {
    const { compiled } = this;
    const visits: PlannedVisit[] = [];
    const leftOut: { vehicle: number; item: number }[] = [];
    for (let vehicle = 0; vehicle < compiled.vehicleCount; vehicle++) {
      const ofVehicle: PlannedVisit[] = [];
      for (let visit = 0; visit < this.visitCount[vehicle]!; visit++) {
        const slot = this.visitSlot[vehicle * MAX_ITEMS + visit]!;
        ofVehicle.push({
          vehicle,
          workshop: Math.floor(slot / compiled.dayCount),
          day: slot % compiled.dayCount,
          items: sourceItems(compiled, vehicle, this.visitMask[vehicle * MAX_ITEMS + visit]!),
        });
      }
      visits.push(...ofVehicle.sort((a, b) => a.day - b.day));
      for (const item of sourceItems(compiled, vehicle, this.leftOut[vehicle]!))
        leftOut.push({ vehicle, item });
    }
    return { visits, leftOut, cost: this.total };
  }

  /** On which day each item of a vehicle is done that is not left out, by its index in the problem. */
  daysDone(vehicle: number): Map<number, number> {
    const { compiled, visitSlot, visitMask } = this;
    const days = new Map<number, number>();
    for (let visit = 0; visit < this.visitCount[vehicle]!; visit++) {
      const at = vehicle * MAX_ITEMS + visit;
      const day = lastDayOf(compiled, vehicle, visitSlot[at]!, visitMask[at]!);
      for (const item of sourceItems(compiled, vehicle, visitMask[at]!)) days.set(item, day);
    }
    return days;
  }

  snapshot(): PlanState {
    const copy = new PlanState(this.compiled);
    copy.copyFrom(this);
    return copy;
  }

  copyFrom(other: PlanState): void {
    this.visitCount.set(other.visitCount);
    this.visitSlot.set(other.visitSlot);
    this.visitMask.set(other.visitMask);
    this.leftOut.set(other.leftOut);
    this.cost.set(other.cost);
    this.available.set(other.available);
    this.total = other.total;
  }
}

/** A draft as it is worked on. */
export function stateOf(compiled: CompiledProblem, { visits, leftOut }: PlanDraft): PlanState {
  const state = new PlanState(compiled);
  for (const { vehicle, workshop, day, items } of visits) {
    const at = vehicle * MAX_ITEMS + state.visitCount[vehicle]!++;
    state.visitSlot[at] = workshop * compiled.dayCount + day;
    state.visitMask[at] = maskOf(compiled, vehicle, items);
  }
  for (const { vehicle, item } of leftOut) state.leftOut[vehicle]! |= maskOf(compiled, vehicle, [item]);
  for (let vehicle = 0; vehicle < compiled.vehicleCount; vehicle++) state.enter(vehicle);
  return state;
}

function maskOf(
  { itemStart, sourceIndex }: CompiledProblem,
  vehicle: number,
  items: readonly number[],
): number {
  let mask = 0;
  for (let item = itemStart[vehicle]!; item < itemStart[vehicle + 1]!; item++)
    if (items.includes(sourceIndex[item]!)) mask |= 1 << (item - itemStart[vehicle]!);
  return mask;
}

/** Adds what a visit takes of every row, `times` over. */
export function addUse(
  compiled: CompiledProblem,
  vehicle: number,
  slot: number,
  mask: number,
  use: Int32Array | Float64Array,
  times: number,
): void {
  const { subsetStart, subsetMinutes, resourceCount, offRoadRows, depotOf, dayCount, visitMinutes } =
    compiled;
  const from = (subsetStart[vehicle]! + mask) * resourceCount;
  const offRoad = offRoadRows + depotOf[vehicle]! * dayCount;
  if (subsetMinutes[from]! <= visitMinutes[slot]!) {
    for (let resource = 0; resource < resourceCount; resource++)
      use[slot * resourceCount + resource]! += times * subsetMinutes[from + resource]!;
    use[offRoad + (slot % dayCount)]! += times;
    return;
  }
  const stay = stayOf(compiled, slot, subsetStart[vehicle]! + mask, true);
  if (stay === null) throw new Error('a visit that cannot be');
  stay.slots.forEach((each, at) => {
    for (let resource = 0; resource < resourceCount; resource++)
      use[each * resourceCount + resource]! += times * stay.minutes[at * resourceCount + resource]!;
  });
  for (let day = stay.firstDay; day <= stay.lastDay; day++) use[offRoad + day]! += times;
}

/** What a visit costs by itself: the way there and standing, life given away, risk. */
export function visitCostOf(compiled: CompiledProblem, vehicle: number, slot: number, mask: number): number {
  const { problem, dayCount, itemStart, costStart, dayCosts, earliestDay } = compiled;
  const workshop = Math.floor(slot / dayCount);
  const way = problem.vehicles[vehicle]!.reach.find((each) => each.workshop === workshop);
  if (way === undefined) throw new Error('a visit out of reach');
  const day = lastDayOf(compiled, vehicle, slot, mask);
  let cost = way.visitCost;
  for (let left = mask; left !== 0; left &= left - 1) {
    const item = itemStart[vehicle]! + 31 - Math.clz32(left & -left);
    cost += dayCosts[costStart[item]! + day - earliestDay[item]!]!;
  }
  return cost;
}

/** The items of a mask by their index in the problem, ascending. */
export function sourceItems(
  { itemStart, sourceIndex }: CompiledProblem,
  vehicle: number,
  mask: number,
): number[] {
  const items: number[] = [];
  for (let left = mask; left !== 0; left &= left - 1)
    items.push(sourceIndex[itemStart[vehicle]! + 31 - Math.clz32(left & -left)]!);
  return items.sort((a, b) => a - b);
}
