import { Inject, Injectable, type BeforeApplicationShutdown } from '@nestjs/common';
import type { Logger } from 'pino';
import { Clock } from '../../platform/clock/clock';
import { Turns, type Turn } from '../../platform/database/turns';
import { LOGGER } from '../../platform/observability/logging';
import { WebhookTurnService } from './webhook-turn.service';

const LOOK_EVERY_MS = 500;
const ENDPOINTS_AT_ONCE = 8;
const AFTER_FAILURE_MS = 30_000;
const GRACE_MS = 5_000;

/** Goes round the endpoints of all organisations, a few at a time. Any number of processes may do so. */
@Injectable()
export class WebhookCourierService implements BeforeApplicationShutdown {
  private readonly stopping = new AbortController();
  private readonly givingUp = new AbortController();
  private readonly underWay = new Set<Promise<void>>();
  private round: Promise<void> | null = null;

  constructor(
    private readonly turns: Turns,
    private readonly turn: WebhookTurnService,
    private readonly clock: Clock,
    @Inject(LOGGER) private readonly logger: Logger,
  ) {}

  start(): void {
    this.round ??= this.goRound();
  }

  /** Before the database is let go of: lets messages arrive that are on their way, for a while. */
  async beforeApplicationShutdown(): Promise<void> {
    this.stopping.abort();
    await this.round;
    const grace = setTimeout(() => this.givingUp.abort(), GRACE_MS);
    await Promise.all(this.underWay);
    clearTimeout(grace);
  }

  private async goRound(): Promise<void> {
    while (!this.stopping.signal.aborted) {
      const free = ENDPOINTS_AT_ONCE - this.underWay.size;
      for (const turn of free > 0 ? await this.take(free) : []) {
        const done = this.deliver(turn).finally(() => this.underWay.delete(done));
        this.underWay.add(done);
      }
      await this.pause();
    }
  }

  private async take(free: number): Promise<Turn[]> {
    try {
      return await this.turns.take('webhook-endpoint', new Date(this.clock.now()), free);
    } catch (error) {
      this.logger.warn({ err: error }, 'looking for webhooks to deliver');
      return [];
    }
  }

  private async deliver(turn: Turn): Promise<void> {
    const signals = { stopping: this.stopping.signal, givingUp: this.givingUp.signal };
    try {
      await this.turn.run(turn, signals);
    } catch (error) {
      const isStopped = signals.givingUp.aborted;
      if (!isStopped) this.logger.error({ endpointId: turn.subjectId, err: error }, 'delivering webhooks');
      await this.giveBack(turn, isStopped ? 0 : AFTER_FAILURE_MS);
    }
  }

  private async giveBack(turn: Turn, afterMs: number): Promise<void> {
    try {
      await this.turns.finish(turn, new Date(this.clock.now() + afterMs), null);
    } catch (error) {
      // its lease runs out
      this.logger.warn({ endpointId: turn.subjectId, err: error }, 'giving a turn of webhooks back');
    }
  }

  private pause(): Promise<void> {
    const { signal } = this.stopping;
    return new Promise((resolve) => {
      const end = (): void => {
        clearTimeout(timer);
        signal.removeEventListener('abort', end);
        resolve();
      };
      const timer = setTimeout(end, LOOK_EVERY_MS);
      signal.addEventListener('abort', end);
    });
  }
}
