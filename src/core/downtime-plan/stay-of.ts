import { CompiledProblem } from './compile-problem';

/** The days of a visit and what each of them takes. */
export interface Stay {
  /** The slots on which work is done, in order of day. */
  readonly slots: readonly number[];
  /** `[at * resourceCount + resource]`: minutes taken of each of these slots. */
  readonly minutes: Int32Array;
  readonly firstDay: number;
  readonly lastDay: number;
}

/**
 * How a visit spreads over days. Work that fits into the day of arrival is done on it. Work with an item that alone is
 * longer than any day of a workshop that keeps vehicles overnight takes of each open day what the day allows, and of
 * everything but the bay in proportion, rounded so that the parts add up.
 *
 * @param subset index of the subset of the vehicle's items
 * @param hasLongItem whether one of them is longer than any day of the workshop
 * @returns null where the visit cannot be: too long for a day, or not over before the plan ends
 */
export function stayOf(
  compiled: CompiledProblem,
  slot: number,
  subset: number,
  hasLongItem: boolean,
): Stay | null {
  const { resourceCount, visitMinutes, subsetMinutes, dayCount } = compiled;
  const from = subset * resourceCount;
  const length = subsetMinutes[from]!;
  const firstDay = slot % dayCount;
  const total = subsetMinutes.subarray(from, from + resourceCount);
  if (length <= visitMinutes[slot]!)
    return { slots: [slot], minutes: total.slice(), firstDay, lastDay: firstDay };
  if (!hasLongItem) return null;
  const slots: number[] = [];
  const minutes: number[] = [];
  let done = 0;
  for (let day = firstDay; day < dayCount; day++) {
    const here = slot - firstDay + day;
    const part = Math.min(visitMinutes[here]!, length - done);
    if (part === 0) continue;
    slots.push(here);
    for (const each of total)
      minutes.push(Math.floor((each * (done + part)) / length) - Math.floor((each * done) / length));
    done += part;
    if (done === length) return { slots, minutes: Int32Array.from(minutes), firstDay, lastDay: day };
  }
  return null;
}

/** The day on which the items of a visit count as done. */
export function lastDayOf(compiled: CompiledProblem, vehicle: number, slot: number, mask: number): number {
  const { dayCount, hasLongItems, subsetStart } = compiled;
  const day = slot % dayCount;
  if (hasLongItems[vehicle] === 0) return day;
  return stayOf(compiled, slot, subsetStart[vehicle]! + mask, true)?.lastDay ?? day;
}

/** Mask of a vehicle's items that are longer than any day of a workshop which keeps vehicles overnight. */
export function longItemsAt(compiled: CompiledProblem, vehicle: number, workshop: number): number {
  const above = compiled.stayAboveMinutes[workshop]!;
  if (above === 0 || compiled.hasLongItems[vehicle] === 0) return 0;
  const { itemStart, itemClass, classMinutes, resourceCount } = compiled;
  let mask = 0;
  for (let item = itemStart[vehicle]!; item < itemStart[vehicle + 1]!; item++)
    if (classMinutes[itemClass[item]! * resourceCount]! > above) mask |= 1 << (item - itemStart[vehicle]!);
  return mask;
}
