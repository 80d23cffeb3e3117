import { InputError } from '../shared/input-error';
import { MAX_ITEMS, PlanItem, PlanProblem, PlanVehicle } from './plan-problem';
import { settlingOrder } from './settling-order';

/**
 * A problem in flat arrays, as the search reads it millions of times a second. A slot is a workshop on a day, `workshop
 * * dayCount + day`. A row is something that runs short: row `slot * resourceCount + resource` in minutes, from
 * `offRoadRows` on `depot * dayCount + day` in vehicles. Items of a vehicle are bits of a mask, in the order of
 * `settlingOrder`; a subset of them has the index `subsetStart[vehicle] + mask`.
 */
export interface CompiledProblem {
  readonly problem: PlanProblem;
  readonly vehicleCount: number;
  readonly dayCount: number;
  readonly slotCount: number;
  readonly resourceCount: number;
  /** The first of the resources that are made of others. */
  readonly firstJoint: number;
  readonly offRoadRows: number;
  readonly rowCount: number;
  /** `[row]`: what there is of it. */
  readonly capacity: Int32Array;
  /** `[slot]` */
  readonly visitMinutes: Int32Array;
  /** `[workshop]`: the longest of its days where it keeps vehicles overnight, else 0. */
  readonly stayAboveMinutes: Int32Array;

  readonly depotOf: Int32Array;
  /** `[vehicle]`, `[vehicle + 1]`: where its items begin and end. */
  readonly itemStart: Int32Array;
  /** `[item]`: its index among the items of its vehicle in the problem. */
  readonly sourceIndex: Int32Array;
  readonly earliestDay: Int32Array;
  readonly latestDay: Int32Array;
  readonly costStart: Int32Array;
  readonly dayCosts: Int32Array;
  readonly leftOutCost: Float64Array;
  /** `[item]`: which line of `classMinutes` it takes. */
  readonly itemClass: Int32Array;
  readonly classCount: number;
  /** `[class * resourceCount + resource]` */
  readonly classMinutes: Int32Array;
  /** `[item]`: mask of what has to be done first. */
  readonly doFirst: Int32Array;
  /** `[item]`: mask of what settles it. */
  readonly settledBy: Int32Array;
  /** `[vehicle]`: whether any of its items has to follow another, settles another, may make a stay. */
  readonly hasOrder: Uint8Array;
  readonly hasSettling: Uint8Array;
  readonly hasLongItems: Uint8Array;

  readonly subsetStart: Int32Array;
  /** `[subset * resourceCount + resource]` */
  readonly subsetMinutes: Int32Array;
  /** `[subset]`: mask of those that are carried out, not settled by the way. */
  readonly carriedOut: Uint16Array;

  /** `[vehicle]`, `[vehicle + 1]`: where its options begin and end: slots it can visit, in order of day, then of reach. */
  readonly optionStart: Int32Array;
  readonly optionSlot: Int32Array;
  readonly optionDay: Int32Array;
  /** Mask of the items that may be done there then, if the vehicle leaves the same day. */
  readonly optionMask: Uint16Array;
  readonly optionCost: Int32Array;
}

/**
 * Compiles a problem, or refuses it.
 *
 * @throws InputError naming the vehicle with more than `MAX_ITEMS` items
 */
export function compileProblem(problem: PlanProblem): CompiledProblem {
  const { dayCount, workshops, depots, vehicles } = problem;
  const { joint = [] } = problem;
  const resourceCount = problem.resources.length;
  const slotCount = workshops.length * dayCount;
  const offRoadRows = slotCount * resourceCount;
  const capacity = new Int32Array(offRoadRows + depots.length * dayCount);
  const visitMinutes = new Int32Array(slotCount);
  workshops.forEach((workshop, at) => {
    capacity.set(workshop.freeMinutes, at * dayCount * resourceCount);
    visitMinutes.set(workshop.visitMinutes, at * dayCount);
  });
  depots.forEach(({ spareVehicles }, at) => capacity.set(spareVehicles, offRoadRows + at * dayCount));
  const stayAboveMinutes = Int32Array.from(workshops, ({ keepsOvernight, visitMinutes: minutes }) =>
    keepsOvernight ? minutes.reduce((longest, each) => Math.max(longest, each), 0) : 0,
  );
  const frame = {
    problem,
    dayCount,
    slotCount,
    resourceCount,
    firstJoint: resourceCount - joint.length,
    offRoadRows,
    capacity,
    visitMinutes,
    stayAboveMinutes,
  };
  const items = compileItems(vehicles, resourceCount);
  return {
    ...frame,
    vehicleCount: vehicles.length,
    rowCount: capacity.length,
    depotOf: Int32Array.from(vehicles, ({ depot }) => depot),
    ...items,
    hasLongItems: Uint8Array.from(vehicles, (vehicle) => Number(hasLongItems(vehicle, stayAboveMinutes))),
    ...compileSubsets(items, vehicles.length, resourceCount, joint),
    ...compileOptions(vehicles, items, frame),
  };
}

type Items = ReturnType<typeof compileItems>;

function compileItems(vehicles: readonly PlanVehicle[], resourceCount: number) {
  const itemStart = new Int32Array(vehicles.length + 1);
  vehicles.forEach(({ items }, vehicle) => {
    if (items.length > MAX_ITEMS)
      throw new InputError(
        `vehicles/${vehicle}/items`,
        `a vehicle may have ${MAX_ITEMS} pieces of work to plan, this one has ${items.length}`,
        'join work that is due together',
      );
    itemStart[vehicle + 1] = itemStart[vehicle]! + items.length;
  });
  const itemCount = itemStart[vehicles.length]!;
  const sourceIndex = new Int32Array(itemCount);
  const earliestDay = new Int32Array(itemCount);
  const latestDay = new Int32Array(itemCount);
  const costStart = new Int32Array(itemCount + 1);
  const leftOutCost = new Float64Array(itemCount);
  const itemClass = new Int32Array(itemCount);
  const doFirst = new Int32Array(itemCount);
  const settledBy = new Int32Array(itemCount);
  const hasOrder = new Uint8Array(vehicles.length);
  const hasSettling = new Uint8Array(vehicles.length);
  const classes = new Map<string, { at: number; minutes: readonly number[] }>();
  const costs: Int32Array[] = [];
  vehicles.forEach(({ items }, vehicle) => {
    const order = settlingOrder(items);
    const bitOf = new Map(order.map((index, bit) => [index, bit]));
    const mask = (indices: readonly number[]): number =>
      indices.reduce((all, index) => all | (1 << bitOf.get(index)!), 0);
    order.forEach((index, bit) => {
      const item = items[index] as PlanItem;
      const at = itemStart[vehicle]! + bit;
      const key = item.minutes.join();
      const sameMinutes = classes.get(key) ?? { at: classes.size, minutes: item.minutes };
      classes.set(key, sameMinutes);
      sourceIndex[at] = index;
      earliestDay[at] = item.earliestDay;
      latestDay[at] = item.latestDay;
      costs.push(item.dayCosts);
      costStart[at + 1] = costStart[at]! + item.dayCosts.length;
      leftOutCost[at] = item.leftOutCost;
      itemClass[at] = sameMinutes.at;
      doFirst[at] = mask(item.doFirst);
      if (item.doFirst.length > 0) hasOrder[vehicle] = 1;
      if (item.settles.length > 0) hasSettling[vehicle] = 1;
      for (const settled of item.settles) settledBy[itemStart[vehicle]! + bitOf.get(settled)!]! |= 1 << bit;
    });
  });
  const dayCosts = new Int32Array(costStart[itemCount]!);
  costs.forEach((each, at) => dayCosts.set(each, costStart[at]));
  const classMinutes = new Int32Array(classes.size * resourceCount);
  for (const { at, minutes } of classes.values()) classMinutes.set(minutes, at * resourceCount);
  return {
    itemStart,
    sourceIndex,
    earliestDay,
    latestDay,
    costStart,
    dayCosts,
    leftOutCost,
    itemClass,
    classCount: classes.size,
    classMinutes,
    doFirst,
    settledBy,
    hasOrder,
    hasSettling,
  };
}

function hasLongItems({ reach, items }: PlanVehicle, stayAboveMinutes: Int32Array): boolean {
  return reach.some(({ workshop }) => {
    const above = stayAboveMinutes[workshop]!;
    return above > 0 && items.some(({ minutes }) => minutes[0]! > above);
  });
}

function compileSubsets(
  items: Items,
  vehicleCount: number,
  resourceCount: number,
  joint: readonly (readonly number[])[],
) {
  const { itemStart, itemClass, classMinutes, settledBy } = items;
  const subsetStart = new Int32Array(vehicleCount + 1);
  for (let vehicle = 0; vehicle < vehicleCount; vehicle++)
    subsetStart[vehicle + 1] = subsetStart[vehicle]! + (1 << (itemStart[vehicle + 1]! - itemStart[vehicle]!));
  const subsetCount = subsetStart[vehicleCount]!;
  const subsetMinutes = new Int32Array(subsetCount * resourceCount);
  const carriedOut = new Uint16Array(subsetCount);
  for (let vehicle = 0; vehicle < vehicleCount; vehicle++) {
    const first = itemStart[vehicle]!;
    const start = subsetStart[vehicle]!;
    const subsets = subsetStart[vehicle + 1]! - start;
    for (let mask = 1; mask < subsets; mask++) {
      // the last in order is settled by what comes before it, or carried out
      const bit = 31 - Math.clz32(mask);
      const rest = start + (mask & ~(1 << bit));
      const isSettled = (carriedOut[rest]! & settledBy[first + bit]!) !== 0;
      carriedOut[start + mask] = isSettled ? carriedOut[rest]! : carriedOut[rest]! | (1 << bit);
      const line = itemClass[first + bit]! * resourceCount;
      for (let resource = 0; resource < resourceCount; resource++)
        subsetMinutes[(start + mask) * resourceCount + resource] =
          subsetMinutes[rest * resourceCount + resource]! + (isSettled ? 0 : classMinutes[line + resource]!);
      const row = (start + mask) * resourceCount;
      for (const [at, of] of joint.entries()) {
        const takesAll = of.every((resource) => subsetMinutes[row + resource]! > 0);
        subsetMinutes[row + resourceCount - joint.length + at] = takesAll ? subsetMinutes[row]! : 0;
      }
    }
  }
  return { subsetStart, subsetMinutes, carriedOut };
}

function compileOptions(
  vehicles: readonly PlanVehicle[],
  { itemStart, earliestDay, latestDay }: Items,
  {
    dayCount,
    visitMinutes,
    capacity,
    offRoadRows,
  }: Pick<CompiledProblem, 'dayCount' | 'visitMinutes' | 'capacity' | 'offRoadRows'>,
) {
  const optionStart = new Int32Array(vehicles.length + 1);
  const slots: number[] = [];
  const masks: number[] = [];
  const costs: number[] = [];
  vehicles.forEach(({ blackoutDays, reach, depot }, vehicle) => {
    const isBlackout = new Set(blackoutDays);
    const first = itemStart[vehicle]!;
    for (let day = 0; day < dayCount; day++) {
      if (isBlackout.has(day) || capacity[offRoadRows + depot * dayCount + day]! < 1) continue;
      let mask = 0;
      for (let item = first; item < itemStart[vehicle + 1]!; item++)
        if (earliestDay[item]! <= day && day <= latestDay[item]!) mask |= 1 << (item - first);
      if (mask === 0) continue;
      for (const { workshop, visitCost } of reach) {
        const slot = workshop * dayCount + day;
        if (visitMinutes[slot] === 0) continue;
        slots.push(slot);
        masks.push(mask);
        costs.push(visitCost);
      }
    }
    optionStart[vehicle + 1] = slots.length;
  });
  return {
    optionStart,
    optionSlot: Int32Array.from(slots),
    optionDay: Int32Array.from(slots, (slot) => slot % dayCount),
    optionMask: Uint16Array.from(masks),
    optionCost: Int32Array.from(costs),
  };
}
