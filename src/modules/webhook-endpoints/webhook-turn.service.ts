import { Injectable } from '@nestjs/common';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { KEEP_TURN_EVERY_MS, Turns, type Turn } from '../../platform/database/turns';
import { systemPrincipal, type Principal } from '../../platform/security/principal';
import { afterAttempt } from './after-attempt';
import { EndpointChangesService } from './endpoint-changes.service';
import { healthAfter } from './endpoint-health';
import {
  WebhookDeliveriesRepository,
  type DeliveryHead,
  type SettledAttempt,
} from './webhook-deliveries.repository';
import type { WebhookEndpoint } from './webhook-endpoint.entity';
import { WebhookEndpointsRepository } from './webhook-endpoints.repository';
import { WebhookMetricsService } from './webhook-metrics.service';
import { WebhookOutboxService, type Message, type Outlook } from './webhook-outbox.service';
import { WebhookSenderService, type SentMessage } from './webhook-sender.service';
import type { WebhookSigningSecret } from './webhook-signing-secret.entity';

const MESSAGES_AT_ONCE = 8;
/** what is sent before it is written down what came of it */
const MESSAGES_AT_HAND = 32;
const MESSAGES_PER_TURN = 2_000;

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

/** What one transaction of a turn has found. */
interface Step {
  endpoint: WebhookEndpoint;
  messages: Message[];
  secrets: WebhookSigningSecret[];
  /** where nothing is to be sent and nothing on its way */
  outlook: Outlook | null;
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
    private readonly outbox: WebhookOutboxService,
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
        const wanted = width === MESSAGES_AT_ONCE ? MESSAGES_AT_HAND : width;
        const isOver = stopping.aborted || begun >= MESSAGES_PER_TURN;
        const step = await this.step(turn, batch, [...flights.keys()], isOver ? 0 : wanted - flights.size);
        if (step === null) return;
        const ready = [...step.messages];
        if (ready.length === 0 && flights.size === 0) {
          if (step.outlook === null) continue; // the last ones ended meanwhile
          const { nextAt, waiting } = step.outlook;
          await this.turns.finish(turn, isOver ? new Date(this.clock.now()) : nextAt, waiting);
          return;
        }
        const writeBy = performance.now() + KEEP_TURN_EVERY_MS;
        do {
          for (const message of ready.splice(0, width - flights.size)) {
            const { lane } = message.head;
            const flight = this.send(step, message, givingUp).then((end) => void ended.push(end));
            flights.set(
              lane,
              flight.finally(() => flights.delete(lane)),
            );
            begun += 1;
          }
          await firstOf(flights.values(), writeBy - performance.now());
          // after a failure what is at hand may not leave as it would have
        } while (ready.length > 0 && ended.every(isDelivered) && performance.now() < writeBy);
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
    busyLanes: readonly string[],
    room: number,
  ): Promise<Step | null> {
    const system = systemPrincipal(turn.organisationId, 'webhook deliveries');
    const step = await this.transactions.run(system, async (tx) => {
      // the endpoint first: everybody who changes anything of it waits here
      const endpoint = await this.endpoints.lock(tx, turn.subjectId);
      if (endpoint === null || !(await this.turns.keep(tx, turn))) return null;
      const now = new Date(this.clock.now());
      if (batch.length > 0) await this.settle(tx, system, endpoint, batch, now);
      const messages = await this.outbox.take(tx, endpoint, busyLanes, room, now);
      const secrets = messages.length === 0 ? [] : await this.endpoints.secretsOf(tx, [endpoint.id]);
      const isIdle = messages.length === 0 && busyLanes.length === 0;
      const outlook = isIdle ? await this.outbox.lookAhead(tx, endpoint, now) : null;
      return { endpoint, messages, secrets, outlook };
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
    const { failingSince, resumeAt } = endpoint;
    const before = { failingSince: failingSince?.getTime() ?? null, resumeAt: resumeAt?.getTime() ?? null };
    const verdicts = batch.map(({ sent }) => sent.verdict);
    await this.changes.setHealth(tx, system, endpoint, healthAfter(before, verdicts, now.getTime()));
  }
}

/** Waits for the first of some promises, but not longer than `ms`. */
async function firstOf(promises: Iterable<Promise<void>>, ms: number): Promise<void> {
  let timer: NodeJS.Timeout | undefined;
  const timeUp = new Promise<void>((resolve) => (timer = setTimeout(resolve, ms)));
  try {
    await Promise.race([...promises, timeUp]);
  } finally {
    clearTimeout(timer);
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
