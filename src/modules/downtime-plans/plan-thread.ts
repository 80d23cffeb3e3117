import { setPriority } from 'node:os';
import { parentPort, workerData } from 'node:worker_threads';
import type { DowntimePlanner } from '../../core/downtime-plan/downtime-planner';
import { InputError } from '../../core/shared/input-error';
import { buildPlanProblem } from './build-plan-problem';
import { makePlan } from './make-plan';
import { conflictsOfLocks } from './plan-conflicts';
import type { OwedItem } from './plan-inputs';
import { impossibleResult, planResult } from './plan-result';
import type { FromThread, PlanQuestion, ToThread } from './planning-thread';
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
    ? planResult(
        plan,
        inputs,
        built,
        await makePlan(inputs, built, budget, (planner, isFirst) => drive(planner, stop.signal, isFirst)),
      )
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

/** @returns whether it was stopped before its budget was used up */
async function drive(planner: DowntimePlanner, stop: AbortSignal, isFirst: boolean): Promise<boolean> {
  let reportedAt = 0;
  let hasMore = true;
  while (hasMore && !stop.aborted) {
    hasMore = planner.advance();
    if (performance.now() - reportedAt < REPORT_EVERY_MS) continue;
    reportedAt = performance.now();
    if (isFirst) tell({ kind: 'progress', progress: planner.progress });
    // lets a stop come in
    await new Promise((resolve) => setImmediate(resolve));
  }
  // finding places and reasons comes next
  if (isFirst) tell({ kind: 'progress', progress: { ...planner.progress, phase: 'done', doneShare: 1 } });
  return hasMore;
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
