import { Inject, Injectable, type OnModuleDestroy } from '@nestjs/common';
import type { Logger } from 'pino';
import { ChangeClock } from '../../platform/database/change-clock';
import { LOGGER } from '../../platform/observability/logging';

const LOOK_EVERY_MS = 200;

interface Waiting {
  /** where the order of changes stood when its reader last looked */
  since: string;
  end: () => void;
}

/**
 * Wakes readers that wait for changes. Nobody holds a connection meanwhile: one short look for all of them, and
 * none while nobody waits. (LISTEN would take a connection and fails behind a pooler; NOTIFY makes commits queue.)
 */
@Injectable()
export class SettledWatch implements OnModuleDestroy {
  private readonly waiting = new Set<Waiting>();
  private looking: NodeJS.Timeout | null = null;
  private closed = false;

  constructor(
    private readonly clock: ChangeClock,
    @Inject(LOGGER) private readonly logger: Logger,
  ) {}

  get closing(): boolean {
    return this.closed;
  }

  get count(): number {
    return this.waiting.size;
  }

  /** Ends when there may be changes that were not there at `since`, after `ms`, or when the reader or the process goes. */
  moved(since: string, ms: number, gone: AbortSignal): Promise<void> {
    if (this.closed || gone.aborted || ms <= 0) return Promise.resolve();
    return new Promise((resolve) => {
      const timer = setTimeout(() => waiting.end(), ms);
      const waiting: Waiting = {
        since,
        end: () => {
          clearTimeout(timer);
          gone.removeEventListener('abort', waiting.end);
          this.waiting.delete(waiting);
          resolve();
        },
      };
      gone.addEventListener('abort', waiting.end);
      this.waiting.add(waiting);
      this.lookSoon();
    });
  }

  /** Lets everybody go, so that the process can end; nobody is made to wait again. */
  onModuleDestroy(): void {
    this.closed = true;
    if (this.looking !== null) clearTimeout(this.looking);
    for (const { end } of [...this.waiting]) end();
  }

  private lookSoon(): void {
    this.looking ??= setTimeout(() => void this.look(), LOOK_EVERY_MS);
  }

  private async look(): Promise<void> {
    try {
      const settled = await this.clock.settledBefore();
      for (const { since, end } of [...this.waiting]) if (since !== settled) end();
    } catch (error) {
      // their own reading tells the readers what is wrong with the database
      this.logger.warn({ err: error }, 'waiting for changes');
      for (const { end } of [...this.waiting]) end();
    }
    this.looking = null;
    if (this.waiting.size > 0 && !this.closed) this.lookSoon();
  }
}
