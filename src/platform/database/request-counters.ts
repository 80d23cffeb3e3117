import { Inject, Injectable } from '@nestjs/common';
import { InjectDataSource } from '@nestjs/typeorm';
import { RateLimiterPostgres, RateLimiterRes } from 'rate-limiter-flexible';
import { DataSource } from 'typeorm';
import type { Config } from '../config/config';
import { CONFIG } from '../config/config.module';

const WINDOW_SECONDS = 60;

/** A share of a key's allowance, or none of it (`granted` 0) when the window is used up. */
export interface DrawnShare {
  granted: number;
  /** what is left for later draws in the same window */
  remaining: number;
  windowEndsInMs: number;
}

/** Counts the requests of each key in the database, so that all processes share one allowance. */
@Injectable()
export class RequestCounters {
  readonly windowSeconds = WINDOW_SECONDS;
  private readonly limiter: RateLimiterPostgres;

  constructor(@InjectDataSource() dataSource: DataSource, @Inject(CONFIG) config: Config) {
    this.limiter = new RateLimiterPostgres({
      storeClient: dataSource,
      storeType: 'typeorm',
      schemaName: 'app',
      tableName: 'request_allowances',
      tableCreated: true,
      clearExpiredByTimeout: false,
      keyPrefix: '',
      points: config.requestsPerMinute,
      duration: WINDOW_SECONDS,
    });
  }

  async draw(key: string, size: number): Promise<DrawnShare> {
    try {
      const drawn = await this.limiter.consume(key, size);
      return { granted: size, remaining: drawn.remainingPoints, windowEndsInMs: drawn.msBeforeNext };
    } catch (refused) {
      if (!(refused instanceof RateLimiterRes)) throw refused;
      return { granted: 0, remaining: 0, windowEndsInMs: refused.msBeforeNext };
    }
  }
}
