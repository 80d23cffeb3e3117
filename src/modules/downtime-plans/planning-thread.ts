import { Worker } from 'node:worker_threads';
import type { PlanBudget, PlanProgress } from '../../core/downtime-plan/downtime-planner';
import type { ItemExplanation } from '../../core/downtime-plan/explain-plan';
import type { PlanDraft, PlanProblem } from '../../core/downtime-plan/plan-problem';

/** What a thread is asked. */
export interface PlanQuestion {
  problem: PlanProblem;
  budget: PlanBudget;
}

export interface MadePlan {
  /** as asked, with wider windows for what could not be done in time */
  problem: PlanProblem;
  draft: PlanDraft;
  naive: PlanDraft;
  /** of the problem as it was asked */
  bound: number;
  gapPercent: number;
  stoppedEarly: boolean;
  /** `[vehicle][item]` */
  explanations: ItemExplanation[][];
}

export type ThreadMessage = { kind: 'progress'; progress: PlanProgress } | { kind: 'plan'; plan: MadePlan };

/** A plan that is being made beside everything else. */
export interface RunningPlan {
  readonly made: Promise<MadePlan>;
  /** the best so far is good enough */
  stop(): void;
  /** nobody wants it any more */
  abandon(): Promise<void>;
}

/** @param file the compiled script of the thread */
export function startPlanning(
  file: string,
  question: PlanQuestion,
  onProgress: (progress: PlanProgress) => void,
): RunningPlan {
  const worker = new Worker(file, { workerData: question });
  const made = new Promise<MadePlan>((resolve, reject) => {
    worker.on('message', (message: ThreadMessage) => {
      if (message.kind === 'progress') onProgress(message.progress);
      else resolve(message.plan);
    });
    worker.on('error', reject);
    worker.on('exit', (code) => {
      reject(new Error(`the planning thread ended with ${code} before it had a plan`));
    });
  });
  return {
    made,
    stop: () => {
      worker.postMessage('stop');
    },
    abandon: async () => {
      await worker.terminate();
    },
  };
}
