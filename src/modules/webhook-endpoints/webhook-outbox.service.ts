import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import { ToldChangesService } from '../changes/told-changes.service';
import { attemptWithoutEvent } from './delivery-attempt';
import { endpointState } from './endpoint-state';
import { WebhookDeliveriesRepository, type DeliveryHead } from './webhook-deliveries.repository';
import type { WebhookEndpoint } from './webhook-endpoint.entity';
import { WebhookEndpointsRepository } from './webhook-endpoints.repository';
import { WEBHOOK_EVENT_TYPES } from './webhook-event-types';

const EVENTS_AT_ONCE = 500;
const LOOK_AGAIN_MS = 1_000;
const FORGET_AFTER_MS = 30 * 24 * 3_600_000;
const FORGET_AT_ONCE = 200;

/** A message that may leave. */
export interface Message {
  head: DeliveryHead;
  body: string;
}

/** What there is to be done for an endpoint when nothing is. */
export interface Outlook {
  /** when to look again; null: when somebody calls for it */
  nextAt: Date | null;
  waiting: number;
}

/** What waits for an endpoint, and what of it may leave. */
@Injectable()
export class WebhookOutboxService {
  constructor(
    private readonly endpoints: WebhookEndpointsRepository,
    private readonly deliveries: WebhookDeliveriesRepository,
    private readonly changes: ToldChangesService,
  ) {}

  /**
   * The messages that may leave now, at most one for each lane. Where there is room for more, events that have been
   * recorded meanwhile become deliveries.
   *
   * @param busyLanes those with a message on its way
   */
  async take(
    tx: Tx,
    endpoint: WebhookEndpoint,
    busyLanes: readonly string[],
    room: number,
    now: Date,
  ): Promise<Message[]> {
    if (endpointState(endpoint) !== 'active' || isAsleep(endpoint, now) || room <= 0) return [];
    await this.endpoints.enter(tx, endpoint);
    const messages = await this.messages(tx, endpoint, busyLanes, room, now);
    if (messages.length === room) return messages;
    const types = endpoint.eventTypes ?? WEBHOOK_EVENT_TYPES;
    const seen = await this.deliveries.dispatch(tx, endpoint, types, now, EVENTS_AT_ONCE);
    return seen === 0 ? messages : this.messages(tx, endpoint, busyLanes, room, now);
  }

  /** Tidies up where nothing may leave, and tells when that may change. */
  async lookAhead(tx: Tx, endpoint: WebhookEndpoint, now: Date): Promise<Outlook> {
    const forgetBefore = new Date(now.getTime() - FORGET_AFTER_MS);
    await this.deliveries.forget(tx, endpoint.id, forgetBefore, FORGET_AT_ONCE);
    const { waiting, nextDueAt } = await this.deliveries.outlook(tx, endpoint.id);
    if (endpointState(endpoint) !== 'active') return { nextAt: null, waiting };
    if (isAsleep(endpoint, now)) return { nextAt: endpoint.resumeAt, waiting };
    const lookAgainAt = new Date(now.getTime() + LOOK_AGAIN_MS);
    return { nextAt: nextDueAt !== null && nextDueAt < lookAgainAt ? nextDueAt : lookAgainAt, waiting };
  }

  private async messages(
    tx: Tx,
    { id, organisationId }: WebhookEndpoint,
    busyLanes: readonly string[],
    room: number,
    now: Date,
  ): Promise<Message[]> {
    for (;;) {
      const heads = await this.deliveries.heads(tx, id, now, busyLanes, room);
      if (heads.length === 0) return [];
      const ids = heads.map(({ eventId }) => eventId);
      const told = await this.changes.told(tx, organisationId, ids);
      const forgotten = heads.filter(({ eventId }) => !told.has(eventId));
      if (forgotten.length === 0)
        return heads.map((head) => ({ head, body: JSON.stringify(told.get(head.eventId)) }));
      // nothing is left to be sent: the next ones of their lanes come forward
      const attempt = attemptWithoutEvent(now.getTime());
      const dead = { state: 'dead', nextAttemptAt: null, attempt } as const;
      const settled = forgotten.map((head) => ({ ...head, ...dead }));
      await this.deliveries.settle(tx, id, settled, now);
    }
  }
}

const isAsleep = ({ resumeAt }: WebhookEndpoint, now: Date): boolean => resumeAt !== null && resumeAt > now;
