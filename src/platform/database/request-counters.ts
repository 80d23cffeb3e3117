import { Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import { RateLimiterPostgres, RateLimiterRes } from 'rate-limiter-flexible';
import { DataSource } from 'typeorm';

export const WINDOW_SECONDS = 60;

/** A share of an allowance, or none of it (`granted` 0) when the window is used up. */
export interface DrawnShare {
  granted: number;
  /** what is left for later draws in the same window */
  remaining: number;
  windowEndsInMs: number;
}

/** Counts requests by key in the database, so that all processes share one allowance. */
@Injectable()
export class RequestCounters {
  private readonly limiters = new Map<number, RateLimiterPostgres>();

  constructor(@InjectDataSource() private readonly dataSource: DataSource) {}

  /**
   * @param key what is counted, and for whom
   * @param perWindow how many there are in a window
   * @param size how many are wanted; the last share of a window may be smaller
   */
  async draw(key: string, perWindow: number, size: number): Promise<DrawnShare> {
    const drawn = await this.limiter(perWindow)
      .consume(key, size)
      .catch((refused: unknown) => {
        // a draw beyond the end is counted all the same; what it still found belongs to it
        if (refused instanceof RateLimiterRes) return refused;
        throw refused;
      });
    const drawnBefore = drawn.consumedPoints - size;
    return {
      granted: Math.min(size, Math.max(0, perWindow - drawnBefore)),
      remaining: drawn.remainingPoints,
      windowEndsInMs: drawn.msBeforeNext,
    };
  }

  private limiter(perWindow: number): RateLimiterPostgres {
    let limiter = this.limiters.get(perWindow);
    if (limiter === undefined) {
      limiter = new RateLimiterPostgres({
        storeClient: this.dataSource,
        storeType: 'typeorm',
        schemaName: 'app',
        tableName: 'request_allowances',
        tableCreated: true,
        // addresses come and go: without it their rows would stay for ever
        clearExpiredByTimeout: true,
        keyPrefix: '',
        points: perWindow,
        duration: WINDOW_SECONDS,
      });
      this.limiters.set(perWindow, limiter);
    }
    return limiter;
  }
}
