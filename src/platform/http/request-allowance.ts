import { Inject, Injectable } from '@nestjs/common';
import type { FastifyReply } from 'fastify';
import type { Config } from '../config/config';
import { CONFIG } from '../config/config.module';
import { RequestCounters, WINDOW_SECONDS } from '../database/request-counters';
import { CodedError } from '../errors/coded-error';
import type { Principal } from '../security/principal';
import { networkOf } from './network-of';

interface Quota {
  /** as the RateLimit fields call it */
  policy: string;
  perMinute: number;
  refusal: string;
}

interface Share {
  left: number;
  remainingElsewhere: number;
  endsAt: number;
}

// so many callers are remembered before those whose window has ended are forgotten
const REMEMBERED = 10_000;

/**
 * So many requests a minute for each caller, over all processes together. A process draws a share of the
 * common allowance from the database at a time, because a write for every request would cost more than most
 * requests do: an idle process can keep a hundredth of the allowance from the others.
 */
@Injectable()
export class RequestAllowance {
  private readonly shares = new Map<string, Share>();
  private readonly draws = new Map<string, Promise<Share>>();
  private readonly requests: Quota;
  private readonly tokens: Quota;
  private readonly signIns: Quota;
  private readonly calendarReads: Quota;

  constructor(
    private readonly counters: RequestCounters,
    @Inject(CONFIG) { requestsPerMinute, tokensPerMinute, signInsPerMinute, calendarReadsPerMinute }: Config,
  ) {
    this.requests = {
      policy: 'minute',
      perMinute: requestsPerMinute,
      refusal: `This key, client or person may send ${requestsPerMinute} requests a minute.`,
    };
    this.tokens = {
      policy: 'tokens',
      perMinute: tokensPerMinute,
      refusal: `A client may ask for ${tokensPerMinute} tokens a minute; a token is good for many requests.`,
    };
    this.signIns = {
      policy: 'sign-ins',
      perMinute: signInsPerMinute,
      refusal: `Your address may sign in and ask for tokens and calendars ${signInsPerMinute} times a minute.`,
    };
    this.calendarReads = {
      policy: 'calendar',
      perMinute: calendarReadsPerMinute,
      refusal: `A calendar may be read ${calendarReadsPerMinute} times a minute.`,
    };
  }

  /** A request of a key, client or person. @throws CodedError `too-many-requests` */
  takeRequest(principal: Principal, reply: FastifyReply): Promise<void> {
    // counted by their ids, with whatever token or session
    return this.take(principal.actorId ?? principal.organisationId, this.requests, reply);
  }

  /** An attempt to sign in, or to open a calendar by its address, before anybody looks at it. @throws CodedError `too-many-requests` */
  takeSignIn(address: string, reply: FastifyReply): Promise<void> {
    return this.take(`sign-in ${networkOf(address)}`, this.signIns, reply);
  }

  /** A token for a client that has shown its secret. @throws CodedError `too-many-requests` */
  takeToken(clientId: string, reply: FastifyReply): Promise<void> {
    return this.take(`token ${clientId}`, this.tokens, reply);
  }

  /** A reading of a calendar by whoever knows its address. @throws CodedError `too-many-requests` */
  takeCalendarRead(feedId: string, reply: FastifyReply): Promise<void> {
    return this.take(`calendar ${feedId}`, this.calendarReads, reply);
  }

  private async take(key: string, quota: Quota, reply: FastifyReply): Promise<void> {
    const now = performance.now();
    let share = this.shares.get(key);
    while (share === undefined || share.endsAt <= now || (share.left === 0 && share.remainingElsewhere > 0)) {
      share = await this.drawOnce(key, quota, now);
    }
    const secondsLeft = Math.max(1, Math.ceil((share.endsAt - now) / 1000));
    const remaining = Math.max(0, share.left - 1) + share.remainingElsewhere;
    tell(reply, 'RateLimit-Policy', `"${quota.policy}";q=${quota.perMinute};w=${WINDOW_SECONDS}`);
    tell(reply, 'RateLimit', `"${quota.policy}";r=${remaining};t=${secondsLeft}`);
    if (share.left === 0) {
      void reply.header('Retry-After', String(secondsLeft));
      throw new CodedError('too-many-requests', quota.refusal);
    }
    share.left -= 1;
  }

  // requests that arrive while a share is being drawn wait for that one instead of drawing more
  private drawOnce(key: string, quota: Quota, now: number): Promise<Share> {
    const running = this.draws.get(key);
    if (running !== undefined) return running;
    const draw = this.draw(key, quota, now).finally(() => this.draws.delete(key));
    this.draws.set(key, draw);
    return draw;
  }

  private async draw(key: string, { perMinute }: Quota, now: number): Promise<Share> {
    const size = Math.max(1, Math.floor(perMinute / 100));
    const { granted, remaining, windowEndsInMs } = await this.counters.draw(key, perMinute, size);
    if (this.shares.size >= REMEMBERED) this.forgetEnded(now);
    const share = { left: granted, remainingElsewhere: remaining, endsAt: now + Math.max(1, windowEndsInMs) };
    this.shares.set(key, share);
    return share;
  }

  private forgetEnded(now: number): void {
    for (const [key, { endsAt }] of this.shares) if (endsAt <= now) this.shares.delete(key);
  }
}

/** Adds an item to a list (draft-ietf-httpapi-ratelimit-headers-11): several policies may bear on one request. */
function tell(reply: FastifyReply, field: string, item: string): void {
  const said = reply.getHeader(field);
  void reply.header(field, said === undefined ? item : `${String(said)}, ${item}`);
}
