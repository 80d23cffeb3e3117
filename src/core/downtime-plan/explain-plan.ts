import { compileProblem } from './compile-problem';
import { PlanDraft, PlanProblem } from './plan-problem';
import { PlanState, stateOf } from './plan-state';
import { VehicleOracle } from './vehicle-oracle';
import { cutTable, VisitPrices } from './visit-prices';

/** Something that could be otherwise: more of a resource, more vehicles spared, the vehicle let off the road. */
export type Relaxation =
  | { readonly kind: 'resource'; readonly resource: string }
  | { readonly kind: 'roster' }
  | { readonly kind: 'blackout' };

export interface RelaxedPlan {
  readonly relaxed: Relaxation;
  /** What the vehicle's plan would cost less; whole hundredths of the currency, above 0. */
  readonly saves: number;
  /** The day on which the item would be done then; null if left out still. */
  readonly dayThen: number | null;
}

export type NotOnDueDay =
  /** It is done on the day it is due. */
  | 'on-due-day'
  /** It was due before the plan begins, or may not be done on that day at all. */
  | 'due-day-outside-window'
  /** One of the relaxations would bring it nearer: `relaxations` tells which, the best first. */
  | 'runs-short'
  /** It shares a visit with other work, or keeps off dear days: cheaper, even if nothing ran short. */
  | 'cheaper-this-way';

export interface ItemExplanation {
  readonly item: number;
  readonly dueDay: number;
  /** The day on which it is done, the last of its visit; null where it is left out. */
  readonly plannedDay: number | null;
  readonly because: NotOnDueDay;
  readonly relaxations: readonly RelaxedPlan[];
}

/** So much that it never runs short. */
const AMPLE = 1_000_000_000;

/**
 * Why the items of a plan are on the days they are: a vehicle is planned again by itself, all others staying where they
 * are, with one thing relaxed at a time. So the answer does not hang on the order in which reasons are tried.
 */
export class PlanExplainer {
  private readonly state: PlanState;

  /** @throws InputError as `compileProblem` */
  constructor(
    private readonly problem: PlanProblem,
    draft: PlanDraft,
  ) {
    this.state = stateOf(compileProblem(problem), draft);
  }

  explain(vehicle: number): ItemExplanation[] {
    const alone = this.planAlone(vehicle);
    const own = this.problem.vehicles[vehicle]!;
    const now = solveAlone(alone);
    const planned = this.state.daysDone(vehicle);
    const relaxed = relaxationsOf(alone)
      .map((each) => ({ relaxed: each, ...solveAlone(relax(alone, each)) }))
      .map(({ relaxed: each, cost, days }) => ({ relaxed: each, days, saves: now.cost - cost }))
      .filter(({ saves }) => saves > 0)
      .sort((a, b) => b.saves - a.saves);
    return own.items.map(({ dueDay, earliestDay, latestDay }, item) => {
      const plannedDay = planned.get(item) ?? null;
      const distance = (day: number | null): number => (day === null ? Infinity : Math.abs(day - dueDay));
      const nearer = relaxed
        .map(({ relaxed: each, saves, days }) => ({ relaxed: each, saves, dayThen: days.get(item) ?? null }))
        .filter(({ dayThen }) => distance(dayThen) < distance(plannedDay));
      const isOutside = dueDay < earliestDay || dueDay > latestDay;
      const because: NotOnDueDay =
        plannedDay === dueDay
          ? 'on-due-day'
          : nearer.length > 0
            ? 'runs-short'
            : isOutside
              ? 'due-day-outside-window'
              : 'cheaper-this-way';
      return { item, dueDay, plannedDay, because, relaxations: because === 'runs-short' ? nearer : [] };
    });
  }

  /** The problem of one vehicle, in what the plan leaves of everything it can reach. */
  private planAlone(vehicle: number): PlanProblem {
    const { problem, state } = this;
    const { dayCount, resources, workshops } = problem;
    const { offRoadRows } = state.compiled;
    const own = problem.vehicles[vehicle]!;
    const rows = dayCount * resources.length;
    state.lift(vehicle);
    const alone = {
      dayCount,
      resources,
      workshops: own.reach.map(({ workshop }) => ({
        ...workshops[workshop]!,
        freeMinutes: state.available.slice(workshop * rows, (workshop + 1) * rows),
      })),
      depots: [
        {
          spareVehicles: state.available.slice(
            offRoadRows + own.depot * dayCount,
            offRoadRows + (own.depot + 1) * dayCount,
          ),
        },
      ],
      vehicles: [
        { ...own, depot: 0, reach: own.reach.map(({ visitCost }, at) => ({ workshop: at, visitCost })) },
      ],
    };
    state.enter(vehicle);
    return alone;
  }
}

function relaxationsOf({ resources, vehicles }: PlanProblem): Relaxation[] {
  return [
    ...resources.map((resource): Relaxation => ({ kind: 'resource', resource })),
    { kind: 'roster' },
    ...(vehicles[0]!.blackoutDays.length > 0 ? [{ kind: 'blackout' } as const] : []),
  ];
}

function relax(problem: PlanProblem, relaxation: Relaxation): PlanProblem {
  const { resources, workshops, depots, vehicles } = problem;
  switch (relaxation.kind) {
    case 'resource': {
      const resource = resources.indexOf(relaxation.resource);
      return {
        ...problem,
        workshops: workshops.map((workshop) => ({
          ...workshop,
          freeMinutes: workshop.freeMinutes.map((minutes, at) =>
            at % resources.length === resource ? AMPLE : minutes,
          ),
        })),
      };
    }
    case 'roster':
      return {
        ...problem,
        depots: depots.map(() => ({ spareVehicles: new Int32Array(problem.dayCount).fill(AMPLE) })),
      };
    case 'blackout':
      return { ...problem, vehicles: vehicles.map((vehicle) => ({ ...vehicle, blackoutDays: [] })) };
  }
}

function solveAlone(problem: PlanProblem): { cost: number; days: Map<number, number> } {
  const compiled = compileProblem(problem);
  const oracle = new VehicleOracle(compiled);
  const prices = new VisitPrices(compiled, cutTable(compiled, []));
  oracle.solve(0, prices, compiled.capacity);
  const state = new PlanState(compiled);
  state.putSolved(0, oracle);
  return { cost: state.total, days: state.daysDone(0) };
}
