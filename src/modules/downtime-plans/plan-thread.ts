import { setPriority } from 'node:os';
import { parentPort, workerData } from 'node:worker_threads';
import { completePlan } from '../../core/downtime-plan/complete-plan';
import { DowntimePlanner } from '../../core/downtime-plan/downtime-planner';
import { PlanExplainer } from '../../core/downtime-plan/explain-plan';
import { InputError } from '../../core/shared/input-error';
import { buildPlanProblem, type BuiltProblem } from './build-plan-problem';
import { conflictsOfLocks } from './plan-conflicts';
import type { OwedItem } from './plan-inputs';
import { impossibleResult, planResult } from './plan-result';
import type { FromThread, MadePlan, PlanQuestion, ToThread } from './planning-thread';
import { preparedInputs } from './prepared-inputs';

// Runs in a thread of its own, so that whoever asked for the plan goes on answering others.

const REPORT_EVERY_MS = 250;
const ROWS_AT_ONCE = 500;

async function main(): Promise<void> {
  const { plan, records, budget } = workerData as PlanQuestion;
  const stop = new AbortController();
  const items = await itemsOf(stop);
  const inputs = preparedInputs({ ...records, items });
  const built = buildPlanProblem(inputs);
  const conflicts = conflictsOfLocks(inputs, built);
  const isPossible = conflicts.length === 0;
  const { outcome, ...rows } = isPossible
    ? planResult(plan, inputs, built, await make(built, budget, stop.signal))
    : impossibleResult(inputs, conflicts);
  const answer = { outcome, visits: portionsOf(rows.visits), items: portionsOf(rows.items) };
  tell({ kind: 'answer', answer: { state: isPossible ? 'ready' : 'impossible', ...answer } });
}

/** Listens from now on. @returns the due items, once all of them are there */
function itemsOf(stop: AbortController): Promise<OwedItem[]> {
  const items: OwedItem[] = [];
  return new Promise((resolve) => {
    parentPort?.on('message', (message: ToThread) => {
      if (message.kind === 'items') items.push(...message.items);
      else if (message.kind === 'begin') resolve(items);
      else stop.abort();
    });
  });
}

async function make(
  { problem }: BuiltProblem,
  budget: PlanQuestion['budget'],
  stop: AbortSignal,
): Promise<MadePlan> {
  const planner = new DowntimePlanner(problem, budget);
  let reportedAt = 0;
  let hasMore = true;
  while (hasMore && !stop.aborted) {
    hasMore = planner.advance();
    if (performance.now() - reportedAt < REPORT_EVERY_MS) continue;
    reportedAt = performance.now();
    tell({ kind: 'progress', progress: planner.progress });
    // lets a stop come in
    await new Promise((resolve) => setImmediate(resolve));
  }
  const { bound, gapPercent } = planner.progress;
  tell({ kind: 'progress', progress: { ...planner.progress, phase: 'done', doneShare: 1 } });
  const complete = completePlan(problem, planner.best());
  const explainer = new PlanExplainer(complete.problem, complete.draft);
  return {
    ...complete,
    naive: planner.naive.draft(),
    bound,
    gapPercent,
    stoppedEarly: hasMore,
    explanations: problem.vehicles.map((_, vehicle) => explainer.explain(vehicle)),
  };
}

function portionsOf(rows: readonly object[]): string[] {
  const portions: string[] = [];
  for (let at = 0; at < rows.length; at += ROWS_AT_ONCE)
    portions.push(JSON.stringify(rows.slice(at, at + ROWS_AT_ONCE)));
  return portions;
}

function tell(message: FromThread): void {
  parentPort?.postMessage(message);
}

// where processors are short, answers come first; elsewhere than on Linux it would slow down the whole process
if (process.platform === 'linux') setPriority(10);

main()
  .catch((error: unknown) => {
    // any other failure ends the thread, whose owner hears of it
    if (!(error instanceof InputError)) throw error;
    tell({ kind: 'refused', field: error.field, detail: error.message, remedy: error.remedy });
  })
  .finally(() => parentPort?.close());
