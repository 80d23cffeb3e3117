import { Inject, Injectable } from '@nestjs/common';
import type { FastifyReply } from 'fastify';
import type { Config } from '../config/config';
import { CONFIG } from '../config/config.module';
import { RequestCounters } from '../database/request-counters';
import { CodedError } from '../errors/coded-error';
import type { Principal } from '../security/principal';

interface Share {
  left: number;
  remainingElsewhere: number;
  endsAt: number;
}

/**
 * So many requests a minute for each key, over all processes together. A process draws a share of the
 * common allowance from the database at a time, because a write for every request would cost more than most
 * requests do.
 */
@Injectable()
export class RequestAllowance {
  private readonly shares = new Map<string, Share>();
  private readonly draws = new Map<string, Promise<Share>>();
  private readonly perMinute: number;
  private readonly shareSize: number;

  constructor(
    private readonly counters: RequestCounters,
    @Inject(CONFIG) config: Config,
  ) {
    this.perMinute = config.requestsPerMinute;
    this.shareSize = Math.max(1, Math.floor(config.requestsPerMinute / 100));
  }

  /** @throws CodedError `too-many-requests` */
  async take(principal: Principal, reply: FastifyReply): Promise<void> {
    const key = principal.apiKeyId ?? principal.organisationId;
    const now = performance.now();
    let share = this.shares.get(key);
    while (share === undefined || share.endsAt <= now || (share.left === 0 && share.remainingElsewhere > 0)) {
      share = await this.drawOnce(key, now);
    }
    const secondsLeft = Math.max(1, Math.ceil((share.endsAt - now) / 1000));
    const remaining = Math.max(0, share.left - 1) + share.remainingElsewhere;
    void reply.header('RateLimit-Policy', `"minute";q=${this.perMinute};w=${this.counters.windowSeconds}`);
    void reply.header('RateLimit', `"minute";r=${remaining};t=${secondsLeft}`);
    if (share.left === 0) {
      void reply.header('Retry-After', String(secondsLeft));
      throw new CodedError('too-many-requests', `This key may send ${this.perMinute} requests a minute.`);
    }
    share.left -= 1;
  }

  // requests that arrive while a share is being drawn wait for that one instead of drawing more
  private drawOnce(key: string, now: number): Promise<Share> {
    const running = this.draws.get(key);
    if (running !== undefined) return running;
    const draw = this.draw(key, now).finally(() => this.draws.delete(key));
    this.draws.set(key, draw);
    return draw;
  }

  private async draw(key: string, now: number): Promise<Share> {
    const { granted, remaining, windowEndsInMs } = await this.counters.draw(key, this.shareSize);
    const share = { left: granted, remainingElsewhere: remaining, endsAt: now + Math.max(1, windowEndsInMs) };
    this.shares.set(key, share);
    return share;
  }
}
