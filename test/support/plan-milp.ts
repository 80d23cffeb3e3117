import loadHighs, { type Highs, type ModelData } from 'highs';
import {
  type PlanDraft,
  type PlannedVisit,
  type PlanProblem,
} from '../../src/core/downtime-plan/plan-problem';
import { spreadOfVisit, type VisitSpread } from './plan-check';

export interface MilpPlan {
  /** whether the plan is known to be the cheapest; otherwise time was up */
  isProven: boolean;
  /** no plan costs less */
  bound: number;
  /** the best that was found */
  draft: PlanDraft;
}

interface VisitColumn {
  visit: PlannedVisit;
  spread: VisitSpread;
  cost: number;
}

/** A row of the model: columns with what they take, at most so much or exactly one. */
interface Row {
  columns: number[];
  values: number[];
  atLeast: number;
  atMost: number;
}

// costs are whole numbers, so a bound within less than one is a proof
const PROVEN_WITHIN = 0.99;
const MOST_COLUMNS = 60_000;
// HiGHS 1.15.1 loses rows where it enumerates the solutions of a presolved row, and then calls a feasible model
// infeasible (ERGO-Code/HiGHS issue 3216); this bit switches that rule off
const PRESOLVE_WITHOUT_ENUMERATION = 65_536;

let loaded: Promise<Highs> | undefined;

/**
 * A plan by a mixed-integer model: a yes-or-no column for every visit (vehicle, workshop, day, set of items) and for
 * every item left out. For some twenty vehicles with few items that are due at once.
 *
 * @throws RangeError where that makes more columns than such a model is good for
 */
export async function milpPlan(problem: PlanProblem, { seconds = 60 } = {}): Promise<MilpPlan> {
  const columns = problem.vehicles.flatMap((_, vehicle) => visitColumns(problem, vehicle));
  if (columns.length > MOST_COLUMNS)
    throw new RangeError(`${columns.length} possible visits are too many for a model of ${MOST_COLUMNS}`);
  const leftOut = problem.vehicles.flatMap(({ items }, vehicle) =>
    items.map(({ leftOutCost }, item) => ({ vehicle, item, cost: leftOutCost })),
  );
  const costs = [...columns, ...leftOut].map(({ cost }) => cost);
  const rows = [
    ...itemRows(columns, leftOut),
    ...vehicleDayRows(columns),
    ...doFirstRows(problem, columns),
    ...capacityRows(problem, columns),
  ];
  loaded ??= loadHighs();
  const highs = await loaded;
  return highs.withModel(modelOf(highs, costs, rows), (model) => {
    model.options.set({
      output_flag: false,
      time_limit: seconds,
      mip_rel_gap: 0,
      mip_abs_gap: PROVEN_WITHIN,
      presolve_rule_off: PRESOLVE_WITHOUT_ENUMERATION,
    });
    model.run();
    const { optimal, timeLimit } = highs.constants.modelStatus;
    const status = model.getModelStatus();
    if (status !== optimal && status !== timeLimit) throw new Error(`the solver ended with status ${status}`);
    const isProven = status === optimal;
    // no plan at all until it finds one: everything left out is one
    const values = Array.from(model.getSolution().colValue);
    const isFound = values.length === costs.length && Number.isFinite(model.info.get('mip_gap'));
    const isChosen = (column: number): boolean =>
      isFound ? values[column]! > 0.5 : column >= columns.length;
    const chosen = columns.filter((_, column) => isChosen(column));
    const missing = leftOut.filter((_, at) => isChosen(columns.length + at));
    const cost = [...chosen, ...missing].reduce((sum, each) => sum + each.cost, 0);
    return {
      isProven,
      bound: isProven ? cost : Math.ceil(Number(model.info.get('mip_dual_bound')) - 1e-3),
      draft: {
        visits: chosen.map(({ visit }) => visit).sort((a, b) => a.vehicle - b.vehicle || a.day - b.day),
        leftOut: missing.map(({ vehicle, item }) => ({ vehicle, item })),
        cost,
      },
    };
  });
}

function visitColumns(problem: PlanProblem, vehicle: number): VisitColumn[] {
  const { reach, items, blackoutDays } = problem.vehicles[vehicle]!;
  const columns: VisitColumn[] = [];
  for (let day = 0; day < problem.dayCount; day++) {
    const inWindow = [...items.keys()].filter(
      (item) => items[item]!.earliestDay <= day && day <= items[item]!.latestDay,
    );
    for (const { workshop, visitCost } of reach)
      for (const subset of subsetsOf(inWindow)) {
        const visit = { vehicle, workshop, day, items: subset };
        const spread = spreadOfVisit(problem, visit);
        if (typeof spread === 'string' || subset.some((item) => items[item]!.latestDay < spread.lastDay))
          continue;
        if (blackoutDays.some((each) => day <= each && each <= spread.lastDay)) continue;
        const dayCosts = subset.map(
          (item) => items[item]!.dayCosts[spread.lastDay - items[item]!.earliestDay]!,
        );
        if (!fitsAlone(problem, visit, spread)) continue;
        columns.push({ visit, spread, cost: dayCosts.reduce((sum, each) => sum + each, visitCost) });
      }
  }
  return columns;
}

function fitsAlone(problem: PlanProblem, visit: PlannedVisit, { work, lastDay }: VisitSpread): boolean {
  const { freeMinutes } = problem.workshops[visit.workshop]!;
  const { spareVehicles } = problem.depots[problem.vehicles[visit.vehicle]!.depot]!;
  const resourceCount = problem.resources.length;
  return (
    spareVehicles.subarray(visit.day, lastDay + 1).every((spare) => spare > 0) &&
    work.every(({ day, minutes }) =>
      minutes.every((each, resource) => each <= freeMinutes[day * resourceCount + resource]!),
    )
  );
}

/** All but the empty one, each ascending. */
function subsetsOf(items: readonly number[]): number[][] {
  return items
    .reduce<number[][]>((subsets, item) => [...subsets, ...subsets.map((subset) => [...subset, item])], [[]])
    .slice(1);
}

/** Every item is at one visit or left out. */
function itemRows(
  columns: readonly VisitColumn[],
  leftOut: readonly { vehicle: number; item: number }[],
): Row[] {
  return leftOut.map(({ vehicle, item }, at) => {
    const having = columnsWith(
      columns,
      ({ visit }) => visit.vehicle === vehicle && visit.items.includes(item),
    );
    return exactlyOne([...having, columns.length + at]);
  });
}

/** A vehicle is at one visit at a time. */
function vehicleDayRows(columns: readonly VisitColumn[]): Row[] {
  const away = new Map<string, number[]>();
  columns.forEach(({ visit, spread }, column) => {
    for (let day = visit.day; day <= spread.lastDay; day++) {
      const key = `${visit.vehicle} ${day}`;
      away.set(key, [...(away.get(key) ?? []), column]);
    }
  });
  return [...away.values()]
    .filter((each) => each.length > 1)
    .map((each) =>
      atMost(
        1,
        each,
        each.map(() => 1),
      ),
    );
}

/** Up to every day, what follows is done no more often than what comes first. */
function doFirstRows(problem: PlanProblem, columns: readonly VisitColumn[]): Row[] {
  return problem.vehicles.flatMap(({ items }, vehicle) =>
    items.flatMap(({ doFirst }, item) =>
      doFirst.flatMap((first) => {
        const ofVehicle = (has: number, hasNot: number): number[] =>
          columnsWith(
            columns,
            ({ visit }) =>
              visit.vehicle === vehicle && visit.items.includes(has) && !visit.items.includes(hasNot),
          );
        const following = ofVehicle(item, first);
        const leading = ofVehicle(first, item);
        const days = new Set(following.map((column) => columns[column]!.visit.day));
        return [...days].map((day) => {
          const isBy = (column: number): boolean => columns[column]!.visit.day <= day;
          const after = following.filter(isBy);
          const before = leading.filter(isBy);
          return atMost(0, [...after, ...before], [...after.map(() => 1), ...before.map(() => -1)]);
        });
      }),
    ),
  );
}

/** Minutes by workshop, day and resource; vehicles by depot and day. */
function capacityRows(
  { workshops, depots, vehicles, resources }: PlanProblem,
  columns: readonly VisitColumn[],
): Row[] {
  const rows = new Map<string, Row>();
  const take = (key: string, has: number, column: number, amount: number): void => {
    if (amount === 0) return;
    const row = rows.get(key) ?? atMost(has, [], []);
    row.columns.push(column);
    row.values.push(amount);
    rows.set(key, row);
  };
  columns.forEach(({ visit, spread }, column) => {
    const { freeMinutes } = workshops[visit.workshop]!;
    for (const { day, minutes } of spread.work)
      minutes.forEach((amount, resource) =>
        take(
          `workshop ${visit.workshop} ${day} ${resource}`,
          freeMinutes[day * resources.length + resource]!,
          column,
          amount,
        ),
      );
    const { depot } = vehicles[visit.vehicle]!;
    for (let day = visit.day; day <= spread.lastDay; day++)
      take(`depot ${depot} ${day}`, depots[depot]!.spareVehicles[day]!, column, 1);
  });
  return [...rows.values()].filter((row) => row.values.reduce((sum, each) => sum + each, 0) > row.atMost);
}

function columnsWith(columns: readonly VisitColumn[], isWanted: (column: VisitColumn) => boolean): number[] {
  return [...columns.keys()].filter((column) => isWanted(columns[column]!));
}

function exactlyOne(columns: number[]): Row {
  return { columns, values: columns.map(() => 1), atLeast: 1, atMost: 1 };
}

function atMost(most: number, columns: number[], values: number[]): Row {
  return { columns, values, atLeast: -Infinity, atMost: most };
}

function modelOf(highs: Highs, costs: readonly number[], rows: readonly Row[]): ModelData {
  const numCols = costs.length;
  const starts = [0];
  for (const { columns } of rows) starts.push(starts.at(-1)! + columns.length);
  return {
    numCols,
    numRows: rows.length,
    colCost: costs,
    colLower: costs.map(() => 0),
    colUpper: costs.map(() => 1),
    rowLower: rows.map(({ atLeast }) => (atLeast === -Infinity ? -highs.infinity : atLeast)),
    rowUpper: rows.map((row) => row.atMost),
    integrality: costs.map(() => highs.constants.variableType.integer),
    matrix: {
      format: 'csr',
      numRows: rows.length,
      numCols,
      starts,
      indices: rows.flatMap(({ columns }) => columns),
      values: rows.flatMap(({ values }) => values),
    },
  };
}
