import { setImmediate } from 'node:timers/promises';
import { Worker } from 'node:worker_threads';
import type { PlanBudget, PlanProgress } from '../../core/downtime-plan/downtime-planner';
import { InputError } from '../../core/shared/input-error';
import type { DowntimePlan } from './downtime-plan.entity';
import type { OwedItem, PlanRecords } from './plan-inputs';
import type { PlanOutcome } from './plan-outcome';

/** What a thread is asked. */
export interface PlanQuestion {
  plan: Pick<DowntimePlan, 'organisationId' | 'id' | 'fleetId'>;
  records: PlanRecords;
  budget: PlanBudget;
}

/** The due items of the question follow it in portions: handing over all at once would keep everybody else waiting. */
export type ToThread = { kind: 'items'; items: readonly OwedItem[] } | { kind: 'begin' } | { kind: 'stop' };

/** A plan as it is stored. The rows are JSON arrays as the database takes them, in portions that nobody looks into. */
export interface PlanAnswer {
  state: 'ready' | 'impossible';
  outcome: PlanOutcome;
  visits: readonly string[];
  items: readonly string[];
}

export type FromThread =
  | { kind: 'progress'; progress: PlanProgress }
  | { kind: 'answer'; answer: PlanAnswer }
  | { kind: 'refused'; field: string; detail: string; remedy: string };

/** A plan that is being made beside everything else. */
export interface RunningPlan {
  /** fails with an InputError where the records cannot be planned */
  readonly answer: Promise<PlanAnswer>;
  /** the best so far is good enough */
  stop(): void;
  /** nobody wants it any more */
  abandon(): Promise<void>;
}

const ITEMS_AT_ONCE = 500;

/** @param file the compiled script of the thread */
export function startPlanning(
  file: string,
  question: PlanQuestion,
  onProgress: (progress: PlanProgress) => void,
): RunningPlan {
  const { items } = question.records;
  const workerData: PlanQuestion = { ...question, records: { ...question.records, items: [] } };
  const worker = new Worker(file, { workerData });
  const post = (message: ToThread): void => {
    worker.postMessage(message);
  };
  const handOver = async (): Promise<void> => {
    for (let at = 0; at < items.length; at += ITEMS_AT_ONCE) {
      post({ kind: 'items', items: items.slice(at, at + ITEMS_AT_ONCE) });
      await setImmediate();
    }
    post({ kind: 'begin' });
  };
  const answer = new Promise<PlanAnswer>((resolve, reject) => {
    worker.on('message', (message: FromThread) => {
      if (message.kind === 'progress') onProgress(message.progress);
      else if (message.kind === 'answer') resolve(message.answer);
      else reject(new InputError(message.field, message.detail, message.remedy));
    });
    worker.on('error', reject);
    worker.on('exit', (code) => {
      reject(new Error(`the planning thread ended with ${code} before it had a plan`));
    });
    handOver().catch(reject);
  });
  return {
    answer,
    stop: () => {
      post({ kind: 'stop' });
    },
    abandon: async () => {
      await worker.terminate();
    },
  };
}
