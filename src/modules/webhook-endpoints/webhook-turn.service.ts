import { Injectable } from '@nestjs/common';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { Turns, type Turn } from '../../platform/database/turns';
import { systemPrincipal, type Principal } from '../../platform/security/principal';
import { afterAttempt } from './after-attempt';
import { attemptWithoutEvent } from './delivery-attempt';
import { EndpointChangesService } from './endpoint-changes.service';
import { healthAfter } from './endpoint-health';
import { endpointState } from './endpoint-state';
import type { Verdict } from './verdict';
import {
  WebhookDeliveriesRepository,
  type DeliveryHead,
  type SettledAttempt,
} from './webhook-deliveries.repository';
import type { WebhookEndpoint } from './webhook-endpoint.entity';
import { WebhookEndpointsRepository } from './webhook-endpoints.repository';
import { WEBHOOK_EVENT_TYPES } from './webhook-event-types';
import { toChangeDto } from './webhook-message';
import { WebhookMetricsService } from './webhook-metrics.service';
import { WebhookSenderService, type SentMessage } from './webhook-sender.service';
import type { WebhookSigningSecret } from './webhook-signing-secret.entity';

const MESSAGES_AT_ONCE = 8;
const MESSAGES_PER_TURN = 2_000;
const EVENTS_PER_STEP = 500;
const LOOK_AGAIN_MS = 1_000;
const FORGET_AFTER_MS = 30 * 24 * 3_600_000;
const FORGET_PER_TURN = 200;

/** How a turn is told to come to its end. */
export interface TurnSignals {
  /** begins nothing new */
  stopping: AbortSignal;
  /** gives up what is on its way; it is sent again in another turn */
  givingUp: AbortSignal;
}

/** An attempt that has ended and is not written down yet. */
interface Ended {
  head: DeliveryHead;
  sent: SentMessage;
}

/** A message that may leave. */
interface Message {
  head: DeliveryHead;
  body: string;
}

/** What one transaction of a turn has found. */
interface Step {
  endpoint: WebhookEndpoint;
  messages: Message[];
  secrets: WebhookSigningSecret[];
  /** when to look again if nothing is on its way; null: when the endpoint is called */
  nextAt: Date | null;
  waiting: number;
}

/**
 * Delivers what waits for one endpoint. Whoever has the turn of an endpoint is alone with it: so the messages of a
 * lane leave in order. A process that dies in the middle has sent what it has not written down; it is sent again.
 */
@Injectable()
export class WebhookTurnService {
  constructor(
    private readonly transactions: Transactions,
    private readonly endpoints: WebhookEndpointsRepository,
    private readonly deliveries: WebhookDeliveriesRepository,
    private readonly changes: EndpointChangesService,
    private readonly sender: WebhookSenderService,
    private readonly metrics: WebhookMetricsService,
    private readonly turns: Turns,
    private readonly clock: Clock,
  ) {}

  /** Sends until nothing is due, and gives the turn back. */
  async run(turn: Turn, { stopping, givingUp }: TurnSignals): Promise<void> {
    const flights = new Map<string, Promise<void>>();
    const ended: Ended[] = [];
    let width = MESSAGES_AT_ONCE;
    let begun = 0;
    try {
      for (;;) {
        const batch = ended.splice(0);
        // a receiver that takes nothing is tried with one message at a time, until it takes one
        if (batch.length > 0) width = batch.some(isDelivered) ? Math.min(MESSAGES_AT_ONCE, width * 2) : 1;
        const isOver = stopping.aborted || begun >= MESSAGES_PER_TURN;
        const room = isOver ? 0 : Math.max(0, width - flights.size);
        const step = await this.step(turn, batch, [...flights.keys()], room);
        if (step === null) return;
        begun += step.messages.length;
        for (const message of step.messages) {
          const { lane } = message.head;
          const flight = this.send(step, message, givingUp).then((end) => void ended.push(end));
          flights.set(
            lane,
            flight.finally(() => flights.delete(lane)),
          );
        }
        if (flights.size > 0) await Promise.race(flights.values());
        else if (ended.length === 0) {
          await this.turns.finish(turn, isOver ? new Date(this.clock.now()) : step.nextAt, step.waiting);
          return;
        }
      }
    } finally {
      // nobody else may begin with a lane while a message of it is on its way
      await Promise.allSettled(flights.values());
    }
  }

  private async send(
    { endpoint, secrets }: Step,
    { head, body }: Message,
    givingUp: AbortSignal,
  ): Promise<Ended> {
    return { head, sent: await this.sender.send(endpoint, secrets, head.eventId, body, givingUp) };
  }

  /** Writes down what has ended and takes what may leave next; null where the turn or the endpoint is gone. */
  private async step(
    turn: Turn,
    batch: readonly Ended[],
    busyLanes: string[],
    room: number,
  ): Promise<Step | null> {
    const system = systemPrincipal(turn.organisationId, 'webhook deliveries');
    const step = await this.transactions.run(system, async (tx) => {
      // the endpoint first: everybody who changes anything of it waits here
      const endpoint = await this.endpoints.lock(tx, turn.subjectId);
      if (endpoint === null || !(await this.turns.keep(tx, turn))) return null;
      const now = new Date(this.clock.now());
      if (batch.length > 0) await this.settle(tx, system, endpoint, batch, now);
      return this.next(tx, endpoint, busyLanes, room, now);
    });
    if (step !== null) for (const { sent } of batch) this.metrics.attempted(sent.verdict.kind);
    return step;
  }

  private async settle(
    tx: Tx,
    system: Principal,
    endpoint: WebhookEndpoint,
    batch: readonly Ended[],
    now: Date,
  ): Promise<void> {
    const settled = batch.map(({ head, sent }) => standingOf(head, sent, now.getTime()));
    await this.deliveries.settle(tx, endpoint.id, settled, now);
    const verdicts = batch.map(({ sent }): Verdict => sent.verdict);
    const { failingSince, resumeAt } = endpoint;
    const before = { failingSince: failingSince?.getTime() ?? null, resumeAt: resumeAt?.getTime() ?? null };
    await this.changes.setHealth(tx, system, endpoint, healthAfter(before, verdicts, now.getTime()));
  }

  private async next(
    tx: Tx,
    endpoint: WebhookEndpoint,
    busyLanes: string[],
    room: number,
    now: Date,
  ): Promise<Step> {
    const step: Step = { endpoint, messages: [], secrets: [], nextAt: null, waiting: 0 };
    const isOpen = endpointState(endpoint) === 'active';
    const isAsleep = endpoint.resumeAt !== null && endpoint.resumeAt > now;
    if (isOpen && !isAsleep && room > 0) {
      await this.endpoints.enter(tx, endpoint);
      step.messages = await this.messages(tx, endpoint, busyLanes, room, now);
      if (step.messages.length < room) {
        const types = endpoint.eventTypes ?? WEBHOOK_EVENT_TYPES;
        const seen = await this.deliveries.dispatch(tx, endpoint, types, now, EVENTS_PER_STEP);
        if (seen > 0) step.messages = await this.messages(tx, endpoint, busyLanes, room, now);
      }
      if (step.messages.length > 0) step.secrets = await this.endpoints.secretsOf(tx, [endpoint.id]);
    }
    if (step.messages.length === 0 && busyLanes.length === 0) {
      const forgetBefore = new Date(now.getTime() - FORGET_AFTER_MS);
      await this.deliveries.forget(tx, endpoint.id, forgetBefore, FORGET_PER_TURN);
      const { waiting, nextDueAt } = await this.deliveries.outlook(tx, endpoint.id);
      const lookAgainAt = new Date(now.getTime() + LOOK_AGAIN_MS);
      step.waiting = waiting;
      if (isOpen && isAsleep) step.nextAt = endpoint.resumeAt;
      else if (isOpen) step.nextAt = nextDueAt !== null && nextDueAt < lookAgainAt ? nextDueAt : lookAgainAt;
    }
    return step;
  }

  /** What may leave now. A delivery whose event was forgotten while it waited is given up. */
  private async messages(
    tx: Tx,
    { id, organisationId }: WebhookEndpoint,
    busyLanes: string[],
    room: number,
    now: Date,
  ): Promise<Message[]> {
    for (;;) {
      const heads = await this.deliveries.heads(tx, id, now, busyLanes, room);
      if (heads.length === 0) return [];
      const ids = heads.map(({ eventId }) => eventId);
      const events = new Map((await this.deliveries.eventsOf(tx, ids)).map((event) => [event.id, event]));
      const forgotten = heads.filter(({ eventId }) => !events.has(eventId));
      if (forgotten.length > 0) {
        const attempt = attemptWithoutEvent(now.getTime());
        const dead = forgotten.map((head) => ({
          ...head,
          state: 'dead' as const,
          nextAttemptAt: null,
          attempt,
        }));
        await this.deliveries.settle(tx, id, dead, now);
        continue;
      }
      return heads.flatMap((head) => {
        const event = events.get(head.eventId);
        return event === undefined
          ? []
          : [{ head, body: JSON.stringify(toChangeDto(organisationId, event)) }];
      });
    }
  }
}

const isDelivered = ({ sent }: Ended): boolean => sent.verdict.kind === 'delivered';

function standingOf(
  { id, lane, failedAttempts }: DeliveryHead,
  sent: SentMessage,
  now: number,
): SettledAttempt {
  const standing = afterAttempt(failedAttempts, sent.verdict, now, Math.random());
  const nextAttemptAt = standing.state === 'waiting' ? new Date(standing.nextAttemptAt) : null;
  return { ...standing, id, lane, nextAttemptAt, attempt: sent.attempt };
}
