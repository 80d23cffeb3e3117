import { setTimeout as sleep } from 'node:timers/promises';
import { Inject, Injectable, type BeforeApplicationShutdown } from '@nestjs/common';
import type { Logger } from 'pino';
import { LOGGER } from '../observability/logging';

// work that takes long, such as over very many organisations, still leaves most of the time to the rest
const PAUSE_PER_TIME_TAKEN = 5;

/** Work that is done over and over while the process lives; a time that failed is logged, and the next follows. */
@Injectable()
export class RepeatedWork implements BeforeApplicationShutdown {
  private readonly stopping = new AbortController();
  private readonly loops: Promise<void>[] = [];

  constructor(@Inject(LOGGER) private readonly logger: Logger) {}

  start(name: string, pauseMs: number, work: () => Promise<unknown>): void {
    this.loops.push(this.loop(name, pauseMs, work));
  }

  /** Lets what is under way come to its end, while the database is still there. */
  async beforeApplicationShutdown(): Promise<void> {
    this.stopping.abort();
    await Promise.all(this.loops);
  }

  private async loop(name: string, pauseMs: number, work: () => Promise<unknown>): Promise<void> {
    const { signal } = this.stopping;
    while (!signal.aborted) {
      const began = performance.now();
      try {
        await work();
      } catch (error) {
        this.logger.warn({ err: error, work: name }, 'repeated work failed and will be tried again');
      }
      const pause = Math.max(pauseMs, PAUSE_PER_TIME_TAKEN * (performance.now() - began));
      // the signal ends the pause, which is all that can go wrong with it
      await sleep(pause, undefined, { signal }).catch(() => undefined);
    }
  }
}
