import { parentPort, workerData } from 'node:worker_threads';
import { completePlan } from '../../core/downtime-plan/complete-plan';
import { DowntimePlanner } from '../../core/downtime-plan/downtime-planner';
import { PlanExplainer } from '../../core/downtime-plan/explain-plan';
import type { PlanQuestion, ThreadMessage } from './planning-thread';

// Runs in a thread of its own, so that whoever asked for the plan goes on answering others.

const REPORT_EVERY_MS = 250;

async function main(): Promise<void> {
  const { problem, budget } = workerData as PlanQuestion;
  const stop = new AbortController();
  parentPort?.on('message', () => {
    stop.abort();
  });
  const planner = new DowntimePlanner(problem, budget);
  let reportedAt = 0;
  let hasMore = true;
  while (hasMore && !stop.signal.aborted) {
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
  tell({
    kind: 'plan',
    plan: {
      ...complete,
      naive: planner.naive.draft(),
      bound,
      gapPercent,
      stoppedEarly: hasMore,
      explanations: problem.vehicles.map((_, vehicle) => explainer.explain(vehicle)),
    },
  });
  parentPort?.close();
}

function tell(message: ThreadMessage): void {
  parentPort?.postMessage(message);
}

// a failure ends the thread, whose owner hears of it
void main();
