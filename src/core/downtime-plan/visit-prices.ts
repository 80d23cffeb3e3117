import { CompiledProblem } from './compile-problem';

/**
 * A rounding cut: no plan can hold more than `limit` times `divisor` minutes of a row in portions of at least `divisor`,
 * so Σ ⌊minutes of a visit / divisor⌋ ≤ limit = ⌊capacity / divisor⌋. It is true of every plan, and cuts off mixtures of
 * plans that the minutes alone allow (Chvátal–Gomory rounding, from memory).
 */
export interface RoundingCut {
  readonly row: number;
  readonly divisor: number;
  readonly limit: number;
}

/** Cuts in order of their row, so that those of a slot stand together. */
export interface CutTable {
  readonly cuts: readonly RoundingCut[];
  /** `[slot]`, `[slot + 1]`: where its cuts begin and end. */
  readonly start: Int32Array;
  readonly resource: Int32Array;
  readonly divisor: Int32Array;
}

export function cutTable(
  { slotCount, resourceCount }: CompiledProblem,
  unordered: readonly RoundingCut[],
): CutTable {
  const cuts = [...unordered].sort((a, b) => a.row - b.row || a.divisor - b.divisor);
  const start = new Int32Array(slotCount + 1);
  for (const { row } of cuts) start[Math.floor(row / resourceCount) + 1]!++;
  for (let slot = 0; slot < slotCount; slot++) start[slot + 1]! += start[slot]!;
  return {
    cuts,
    start,
    resource: Int32Array.from(cuts, ({ row }) => row % resourceCount),
    divisor: Int32Array.from(cuts, ({ divisor }) => divisor),
  };
}

/** What a visit pays, beside its own cost, for what it takes away from others: a price on every row and every cut. */
export class VisitPrices {
  /** `[depot * dayCount + day]` */
  readonly ofDayOffRoad: Float64Array;
  /** `[cut]` */
  readonly ofCut: Float64Array;
  /** `[row]`: as they were set. */
  readonly ofRow: Float64Array;

  constructor(
    readonly compiled: CompiledProblem,
    readonly table: CutTable,
  ) {
    this.ofDayOffRoad = new Float64Array(compiled.rowCount - compiled.offRoadRows);
    this.ofCut = new Float64Array(table.cuts.length);
    this.ofRow = new Float64Array(compiled.rowCount);
  }

  /**
   * @param multipliers `[row]`, then `[rowCount + cut]`; none is below 0
   * @param share what part of them counts
   */
  set(multipliers: Float64Array, share = 1): this {
    const { rowCount, offRoadRows } = this.compiled;
    const { ofDayOffRoad, ofCut, ofRow } = this;
    for (let row = 0; row < rowCount; row++) ofRow[row] = share * multipliers[row]!;
    for (let at = 0; at < ofDayOffRoad.length; at++) ofDayOffRoad[at] = ofRow[offRoadRows + at]!;
    for (let cut = 0; cut < ofCut.length; cut++) ofCut[cut] = share * multipliers[rowCount + cut]!;
    return this;
  }

  /** What the cuts of a slot charge for a visit. @param minutes `[minutesAt + resource]` */
  cutsOf(slot: number, minutes: Int32Array, minutesAt: number): number {
    const { start, resource, divisor } = this.table;
    let price = 0;
    for (let cut = start[slot]!; cut < start[slot + 1]!; cut++) {
      const each = this.ofCut[cut]!;
      if (each > 0) price += each * Math.floor(minutes[minutesAt + resource[cut]!]! / divisor[cut]!);
    }
    return price;
  }

  hasCuts(slot: number): boolean {
    return this.table.start[slot]! < this.table.start[slot + 1]!;
  }
}
