import { join } from 'node:path';
import { Inject, Injectable, type OnApplicationShutdown } from '@nestjs/common';
import type { Logger } from 'pino';
import { defaultBudget, type PlanBudget, type PlanProgress } from '../../core/downtime-plan/downtime-planner';
import { InputError } from '../../core/shared/input-error';
import type { Config } from '../../platform/config/config';
import { CONFIG } from '../../platform/config/config.module';
import { Transactions } from '../../platform/database/transactions';
import { CodedError } from '../../platform/errors/coded-error';
import { LOGGER } from '../../platform/observability/logging';
import { systemPrincipal, type Principal } from '../../platform/security/principal';
import type { DowntimePlan, PlanEffort } from './downtime-plan.entity';
import { DowntimePlansRepository } from './downtime-plans.repository';
import { PlanInputsService } from './plan-inputs.service';
import type { PlanStanding } from './plan-outcome';
import { startPlanning, type RunningPlan } from './planning-thread';

const LOOK_EVERY_MS = 500;
const EFFORTS: Readonly<Record<PlanEffort, number>> = { quick: 0.1, normal: 1, thorough: 4 };

/** Makes downtime plans in threads of their own, one after the other. */
@Injectable()
export class DowntimePlanRunnerService implements OnApplicationShutdown {
  private running: RunningPlan | null = null;

  constructor(
    private readonly transactions: Transactions,
    private readonly plans: DowntimePlansRepository,
    private readonly inputs: PlanInputsService,
    @Inject(CONFIG) private readonly config: Config,
    @Inject(LOGGER) private readonly logger: Logger,
  ) {}

  async run(organisationId: string, planId: string): Promise<void> {
    const system = systemPrincipal(organisationId, 'downtime planning');
    const plan = await this.transactions.run(system, (tx) => this.plans.find(tx, planId));
    if (plan === null || (plan.state !== 'queued' && plan.state !== 'running')) return;
    // on behalf of the key that asked for it, within its fleets and workshops
    const principal: Principal = { ...system, actorId: plan.actorId, actor: plan.createdBy };
    try {
      await this.make(principal, plan);
    } catch (error) {
      const explained = error instanceof CodedError || error instanceof InputError;
      if (!explained || (error instanceof CodedError && error.code === 'unavailable')) throw error;
      this.logger.warn({ planId, err: error }, 'downtime plan failed');
      await this.fail(system, planId, error.message);
    }
  }

  async onApplicationShutdown(): Promise<void> {
    // the job is taken up again by the next process
    await this.running?.abandon();
  }

  private async make(principal: Principal, plan: DowntimePlan): Promise<void> {
    const [records, begun] = await this.transactions.run(principal, async (tx) => {
      await this.plans.setState(tx, plan.id, ['queued', 'running'], 'running');
      const standing = await this.plans.setStanding(tx, plan.id, READING);
      return [await this.inputs.read(tx, plan), standing] as const;
    });
    const file = this.config.planThreadFile ?? join(__dirname, 'plan-thread.js');
    const { organisationId, id, fleetId } = plan;
    const budget = budgetOf(plan, records.vehicles.length);
    let progress: PlanProgress | null = null;
    const question = { plan: { organisationId, id, fleetId }, records, budget };
    const running = startPlanning(file, question, (latest) => {
      progress = latest;
    });
    this.running = running;
    if (begun?.stopRequested === true) running.stop();
    const looking = this.watch(principal, plan.id, running, () => progress);
    try {
      const { state, outcome, visits, items } = await running.answer;
      await looking.end();
      await this.transactions.run(principal, async (tx) => {
        if (!(await this.plans.setState(tx, plan.id, ['running'], state, { outcome, ended: true }))) return;
        await this.plans.addResult(tx, visits, items);
      });
    } finally {
      await looking.end();
      await running.abandon();
      this.running = null;
    }
  }

  /** Writes down how far it is, and looks whether somebody wants it stopped. */
  private watch(
    principal: Principal,
    planId: string,
    running: RunningPlan,
    latest: () => PlanProgress | null,
  ): { end: () => Promise<void> } {
    let isOver = false;
    const loop = async (): Promise<void> => {
      while (!isOver) {
        const progress = latest();
        if (progress !== null) {
          const seen = await this.transactions.run(principal, (tx) =>
            this.plans.setStanding(tx, planId, standingOf(progress)),
          );
          if (seen === null || seen.stopRequested) running.stop();
        }
        await new Promise((resolve) => setTimeout(resolve, LOOK_EVERY_MS));
      }
    };
    const looking = loop().catch((error: unknown) => {
      // the plan goes on; only its progress is not seen
      this.logger.warn({ planId, err: error }, 'progress of a downtime plan');
    });
    return {
      end: async () => {
        isOver = true;
        await looking;
      },
    };
  }

  private async fail(system: Principal, planId: string, failure: string): Promise<void> {
    await this.transactions.run(system, (tx) =>
      this.plans.setState(tx, planId, ['queued', 'running'], 'failed', { failure, ended: true }),
    );
  }
}

const READING: PlanStanding = {
  phase: 'reading',
  doneShare: 0,
  costMinor: null,
  boundMinor: null,
  gapPercent: null,
};

function standingOf({ phase, doneShare, cost, bound, gapPercent }: PlanProgress): PlanStanding {
  return {
    phase: phase === 'done' ? 'explaining' : phase,
    doneShare,
    costMinor: cost,
    boundMinor: bound,
    gapPercent,
  };
}

function budgetOf({ effort, seed }: DowntimePlan, vehicleCount: number): PlanBudget {
  const { boundPasses, cutPasses, searchIterations } = defaultBudget(vehicleCount, seed);
  const share = EFFORTS[effort];
  const boundShare = Math.max(0.3, Math.min(1.5, share));
  return {
    seed,
    boundPasses: Math.ceil(boundPasses * boundShare),
    cutPasses: Math.ceil(cutPasses * boundShare),
    searchIterations: Math.ceil(searchIterations * share),
  };
}
