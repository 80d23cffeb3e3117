import { compileProblem } from './compile-problem';
import { PlanDraft, PlanItem, PlanProblem } from './plan-problem';
import { PlanState, stateOf } from './plan-state';
import { VehicleOracle } from './vehicle-oracle';
import { cutTable, VisitPrices } from './visit-prices';

/** One thing that could be otherwise: more of a resource, more vehicles spared, the vehicle let off the road. */
type SingleRelaxation =
  | { readonly kind: 'resource'; readonly resource: string }
  | { readonly kind: 'roster' }
  | { readonly kind: 'blackout' };

/** Or all of them at once, where no single one is enough. */
export type Relaxation = SingleRelaxation | { readonly kind: 'everything' };

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
  /** No workshop within reach is open on that day; it is done on the open day before or after it. */
  | 'closed-on-due-day'
  /** Relaxations would bring it nearer: `relaxations` tells which, the best first. */
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
    const planned = this.state.daysDone(vehicle);
    const relaxed = new RelaxedPlans(alone);
    return this.problem.vehicles[vehicle]!.items.map((item, index) => {
      const { dueDay } = item;
      const plannedDay = planned.get(index) ?? null;
      const relaxations = relaxed.bringingNearer(index, dueDay, plannedDay);
      const because = reasonOf(alone, item, plannedDay, relaxations);
      return {
        item: index,
        dueDay,
        plannedDay,
        because,
        relaxations: because === 'runs-short' ? relaxations : [],
      };
    });
  }

  /** The problem of one vehicle, in what the plan leaves of everything it can reach. */
  private planAlone(vehicle: number): PlanProblem {
    const { problem, state } = this;
    const { workshops, dayCount, resources } = problem;
    const { offRoadRows } = state.compiled;
    const own = problem.vehicles[vehicle]!;
    const rows = dayCount * resources.length;
    state.lift(vehicle);
    const alone = {
      ...problem,
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

function reasonOf(
  alone: PlanProblem,
  { dueDay, earliestDay, latestDay }: PlanItem,
  plannedDay: number | null,
  relaxations: readonly RelaxedPlan[],
): NotOnDueDay {
  if (plannedDay === dueDay) return 'on-due-day';
  if (relaxations.length > 0) return 'runs-short';
  if (dueDay < earliestDay || dueDay > latestDay) return 'due-day-outside-window';
  const isOpen = (day: number): boolean => alone.workshops.some(({ visitMinutes }) => visitMinutes[day]! > 0);
  const [from, until] =
    plannedDay === null
      ? [earliestDay, latestDay]
      : plannedDay < dueDay
        ? [plannedDay + 1, dueDay]
        : [dueDay, plannedDay - 1];
  for (let day = from; day <= until; day++) if (isOpen(day)) return 'cheaper-this-way';
  return 'closed-on-due-day';
}

function distanceOf(day: number | null, dueDay: number): number {
  return day === null ? Infinity : Math.abs(day - dueDay);
}

/** What the plan of a vehicle by itself would be if something were otherwise. */
class RelaxedPlans {
  private readonly now: SolvedAlone;
  /** Only those that save something, the best first. */
  private readonly single: readonly Saving[];
  private everything: readonly Saving[] | null = null;

  constructor(private readonly alone: PlanProblem) {
    this.now = solveAlone(alone);
    this.single = singleRelaxations(alone)
      .flatMap((relaxed) => this.saving(relaxed, relax(alone, relaxed)))
      .sort((a, b) => b.saves - a.saves);
  }

  /** Those with which an item is nearer to the day it is due. */
  bringingNearer(item: number, dueDay: number, plannedDay: number | null): RelaxedPlan[] {
    const nearer = (savings: readonly Saving[]): RelaxedPlan[] =>
      savings
        .map(({ relaxed, saves, days }) => ({ relaxed, saves, dayThen: days.get(item) ?? null }))
        .filter(({ dayThen }) => distanceOf(dayThen, dueDay) < distanceOf(plannedDay, dueDay));
    const found = nearer(this.single);
    return found.length > 0 || plannedDay === dueDay ? found : nearer(this.withEverything());
  }

  private withEverything(): readonly Saving[] {
    this.everything ??= this.saving(
      { kind: 'everything' },
      singleRelaxations(this.alone).reduce(relax, this.alone),
    );
    return this.everything;
  }

  private saving(relaxed: Relaxation, problem: PlanProblem): Saving[] {
    const { cost, days } = solveAlone(problem);
    const saves = this.now.cost - cost;
    return saves > 0 ? [{ relaxed, saves, days }] : [];
  }
}

interface SolvedAlone {
  readonly cost: number;
  /** by item */
  readonly days: ReadonlyMap<number, number>;
}

interface Saving {
  readonly relaxed: Relaxation;
  readonly saves: number;
  readonly days: ReadonlyMap<number, number>;
}

function singleRelaxations(problem: PlanProblem): SingleRelaxation[] {
  const { resources, vehicles } = problem;
  return [
    ...resources
      .filter((_, at) => madeOfOne(problem, at) === null)
      .map((resource): SingleRelaxation => ({ kind: 'resource', resource })),
    { kind: 'roster' },
    ...(vehicles[0]!.blackoutDays.length > 0 ? [{ kind: 'blackout' } as const] : []),
  ];
}

/** The resource of which a joint one is the whole of the visit. @returns null where it is made of several, or of none */
function madeOfOne({ resources, joint = [] }: PlanProblem, resource: number): number | null {
  const of = joint[resource - (resources.length - joint.length)];
  return of?.length === 1 ? of[0]! : null;
}

function relax(problem: PlanProblem, relaxation: SingleRelaxation): PlanProblem {
  const { resources, workshops, depots, vehicles } = problem;
  switch (relaxation.kind) {
    case 'resource': {
      const resource = resources.indexOf(relaxation.resource);
      return {
        ...problem,
        workshops: workshops.map((workshop) => ({
          ...workshop,
          freeMinutes: workshop.freeMinutes.map((minutes, at) => {
            const of = at % resources.length;
            return of === resource || madeOfOne(problem, of) === resource ? AMPLE : minutes;
          }),
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

function solveAlone(problem: PlanProblem): SolvedAlone {
  const compiled = compileProblem(problem);
  const oracle = new VehicleOracle(compiled);
  const prices = new VisitPrices(compiled, cutTable(compiled, []));
  oracle.solve(0, prices, compiled.capacity);
  const state = new PlanState(compiled);
  state.putSolved(0, oracle);
  return { cost: state.total, days: state.daysDone(0) };
}
