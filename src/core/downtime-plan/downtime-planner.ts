import { SeededRandom } from '../shared/seeded-random';
import { CompiledProblem, compileProblem } from './compile-problem';
import { PlanSearch } from './improve-plan';
import { LowerBound, roundingCuts } from './lower-bound';
import { naivePlan } from './naive-plan';
import { PlanDraft, PlanProblem } from './plan-problem';
import { PlanState } from './plan-state';
import { VehicleOracle } from './vehicle-oracle';
import { cutTable, VisitPrices } from './visit-prices';

/** How much work goes into a plan. The same problem, seed and budget give the same plan on every machine. */
export interface PlanBudget {
  readonly seed: number;
  /** Passes of the bound without cuts, then with cuts; each takes every vehicle once. */
  readonly boundPasses: number;
  readonly cutPasses: number;
  /** Groups of vehicles that are taken out and put back. */
  readonly searchIterations: number;
}

export interface PlanProgress {
  /** What is being done. */
  readonly phase: 'first-plan' | 'bound' | 'search' | 'tighten-bound' | 'done';
  /** Cost of the best plan so far. */
  readonly cost: number;
  /** No plan costs less. */
  readonly bound: number;
  readonly gapPercent: number;
  /** Share of the budget that is used up, 0 to 1. */
  readonly doneShare: number;
}

/** How much cheaper than a plan the best possible one could be at most: (cost − bound) ÷ cost, in per cent. */
export function gapPercentOf(cost: number, bound: number): number {
  return cost > 0 ? (100 * (cost - bound)) / cost : 0;
}

/** Vehicles put back between two looks at whether to stop. */
const SLICE_ITERATIONS = 500;

/** A budget that takes seconds for a hundred vehicles, about a minute for hundreds, minutes for thousands. */
export function defaultBudget(vehicleCount: number, seed = 1): PlanBudget {
  // few vehicles in each other's way take many attempts each, a large fleet has room for fewer
  const searchIterations = Math.round(
    Math.max(60_000, Math.min(350_000, 5_000 * (vehicleCount - 30))) +
      Math.min(650_000, 100 * Math.max(0, vehicleCount - 500)),
  );
  const passes = vehicleCount > 5_000 ? 60 : vehicleCount > 200 ? 120 : 300;
  return { seed, boundPasses: passes, cutPasses: passes, searchIterations };
}

/**
 * Makes a downtime plan in slices, so that whoever drives it can report, stop, and keep the best so far: a plan by
 * insertion first; prices from the bound; a plan at these prices; search; and the bound tightened by cuts.
 */
export class DowntimePlanner {
  readonly naive: PlanState;
  private readonly compiled: CompiledProblem;
  private readonly oracle: VehicleOracle;
  private readonly work: Generator<void, void>;
  private phase: PlanProgress['phase'] = 'first-plan';
  private bestState: PlanState;
  private bound = 0;
  private doneShare = 0;

  /** @throws InputError as `compileProblem` */
  constructor(
    problem: PlanProblem,
    private readonly budget: PlanBudget,
  ) {
    this.compiled = compileProblem(problem);
    this.oracle = new VehicleOracle(this.compiled);
    this.naive = naivePlan(this.compiled);
    this.bestState = this.naive;
    this.work = this.steps();
  }

  /** Does one slice, some tenths of a second at most for a thousand vehicles. @returns whether there is more to do */
  advance(): boolean {
    return this.work.next().done !== true;
  }

  get progress(): PlanProgress {
    const cost = this.bestState.total;
    const gapPercent = gapPercentOf(cost, this.bound);
    return { phase: this.phase, cost, bound: this.bound, gapPercent, doneShare: this.doneShare };
  }

  /** The best plan so far. */
  best(): PlanDraft {
    return this.bestState.draft();
  }

  private *steps(): Generator<void, void> {
    const { compiled, oracle, budget } = this;
    const { boundPasses, cutPasses, searchIterations } = budget;
    const order = tightestFirst(compiled);
    yield* this.insert(order, new Float64Array(compiled.rowCount));

    this.phase = 'bound';
    const relaxed = new LowerBound(compiled, oracle, [], boundPasses, null);
    yield* this.tighten(relaxed, 0, 0.2);
    const { multipliers } = relaxed;
    yield* this.insert(order, multipliers);

    this.phase = 'search';
    const random = new SeededRandom(budget.seed);
    const search = new PlanSearch(
      compiled,
      this.bestState.snapshot(),
      oracle,
      multipliers,
      random,
      searchIterations,
    );
    while (search.iterationsDone < searchIterations) {
      search.run(Math.min(SLICE_ITERATIONS, searchIterations - search.iterationsDone));
      this.bestState = search.best;
      this.doneShare = 0.2 + (0.5 * search.iterationsDone) / searchIterations;
      yield;
    }

    this.phase = 'tighten-bound';
    const cuts = roundingCuts(compiled, multipliers);
    yield* this.tighten(new LowerBound(compiled, oracle, cuts, cutPasses, relaxed), 0.7, 1);
    this.phase = 'done';
    this.doneShare = 1;
  }

  private *tighten(lower: LowerBound, fromShare: number, toShare: number): Generator<void, void> {
    this.bound = Math.max(this.bound, lower.best);
    while (lower.passesDone < lower.passes) {
      lower.pass();
      this.bound = Math.max(this.bound, lower.best);
      this.doneShare = fromShare + ((toShare - fromShare) * lower.passesDone) / lower.passes;
      yield;
    }
  }

  /** A plan made by putting in one vehicle after the other, each where it is cheapest at some prices. */
  private *insert(order: readonly number[], multipliers: Float64Array): Generator<void, void> {
    const { compiled, oracle } = this;
    const prices = new VisitPrices(compiled, cutTable(compiled, [])).set(multipliers);
    const state = new PlanState(compiled);
    for (const [at, vehicle] of order.entries()) {
      oracle.solve(vehicle, prices, state.available);
      state.putSolved(vehicle, oracle);
      if (at % SLICE_ITERATIONS === SLICE_ITERATIONS - 1) yield;
    }
    if (state.total < this.bestState.total) this.bestState = state;
  }
}

/** Vehicles with the narrowest window first. */
function tightestFirst({ vehicleCount, itemStart, earliestDay, latestDay }: CompiledProblem): number[] {
  const widths = Array.from({ length: vehicleCount }, (_, vehicle) => {
    let width = Infinity;
    for (let item = itemStart[vehicle]!; item < itemStart[vehicle + 1]!; item++)
      width = Math.min(width, latestDay[item]! - earliestDay[item]!);
    return width;
  });
  return [...widths.keys()].sort((a, b) => (widths[a]! === widths[b]! ? a - b : widths[a]! - widths[b]!));
}
