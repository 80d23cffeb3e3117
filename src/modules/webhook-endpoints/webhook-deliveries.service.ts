import { Injectable } from '@nestjs/common';
import { parseInstant } from '../../core/shared/instant';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import {
  toWebhookDeliveryDto,
  type ReplayedDeadLettersDto,
  type ReplayedSinceDto,
  type WebhookDeliveryDto,
} from './dto/webhook-delivery.dto';
import type { ListWebhookDeliveriesQueryDto } from './dto/webhook-endpoint-params.dto';
import type { ReplayWebhooksDto } from './dto/write-webhook-endpoint.dto';
import { EndpointChangesService } from './endpoint-changes.service';
import { WebhookDeliveriesRepository } from './webhook-deliveries.repository';
import type { WebhookEndpoint } from './webhook-endpoint.entity';
import { alreadyWaiting, sinceInTheFuture } from './webhook-endpoints.errors';
import { WebhookEndpointsRepository } from './webhook-endpoints.repository';

/** What was sent to an endpoint, and sending it again. */
@Injectable()
export class WebhookDeliveriesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly endpoints: WebhookEndpointsRepository,
    private readonly deliveries: WebhookDeliveriesRepository,
    private readonly changes: EndpointChangesService,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  list(
    { principal }: RequestContext,
    endpointId: string,
    { limit = 50, cursor, state }: ListWebhookDeliveriesQueryDto,
  ): Promise<Page<WebhookDeliveryDto>> {
    const { organisationId } = principal;
    const bound = { list: 'webhook-deliveries', organisationId, endpointId, state: state ?? null };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.requireEndpoint(tx, endpointId);
      const before = after === null ? null : String(after[0]);
      const rows = await this.deliveries.list(tx, endpointId, state, before, limit);
      return this.cursors.page(rows, limit, bound, ({ id }) => [id], toWebhookDeliveryDto);
    });
  }

  get({ principal }: RequestContext, endpointId: string, deliveryId: string): Promise<WebhookDeliveryDto> {
    return this.transactions.read(principal, async (tx) => {
      await this.requireEndpoint(tx, endpointId);
      return this.dtoOf(tx, endpointId, deliveryId);
    });
  }

  /** Sends one delivery again, before those that wait behind its place. */
  replay(context: RequestContext, endpointId: string, deliveryId: string): Promise<WebhookDeliveryDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      await this.lockEndpoint(tx, endpointId);
      const { state } = await this.dtoOf(tx, endpointId, deliveryId);
      if (state === 'waiting') throw alreadyWaiting(state);
      await this.deliveries.replay(tx, endpointId, { id: deliveryId }, new Date(this.clock.now()));
      await this.changes.record(tx, principal, endpointId, 'replayed', { after: { deliveryId } });
      await this.changes.callTurn(tx, principal.organisationId, endpointId);
      return this.dtoOf(tx, endpointId, deliveryId);
    });
  }

  /** Sends again whatever was given up. */
  replayDeadLetters(context: RequestContext, endpointId: string): Promise<ReplayedDeadLettersDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      await this.lockEndpoint(tx, endpointId);
      const now = new Date(this.clock.now());
      const replayed = await this.deliveries.replay(tx, endpointId, { state: 'dead' }, now);
      await this.changes.record(tx, principal, endpointId, 'replayed', { after: { deadLetters: replayed } });
      await this.changes.callTurn(tx, principal.organisationId, endpointId);
      return { replayed };
    });
  }

  /** Goes back in the feed: everything since is delivered once more, whether it was delivered before or not. */
  replaySince(
    context: RequestContext,
    endpointId: string,
    body: ReplayWebhooksDto,
  ): Promise<ReplayedSinceDto> {
    const { principal } = context;
    const since = new Date(parseInstant(body.since, 'since'));
    if (since.getTime() > this.clock.now()) throw sinceInTheFuture(body.since);
    return this.transactions.write(context, async (tx) => {
      await this.lockEndpoint(tx, endpointId);
      const firstRecordedAt = await this.endpoints.goBackTo(tx, endpointId, since);
      const answer = { since: since.toISOString(), firstRecordedAt: firstRecordedAt?.toISOString() ?? null };
      await this.changes.record(tx, principal, endpointId, 'replayed', { after: answer });
      await this.changes.callTurn(tx, principal.organisationId, endpointId);
      return answer;
    });
  }

  private async requireEndpoint(tx: Tx, endpointId: string): Promise<WebhookEndpoint> {
    return found(await this.endpoints.find(tx, endpointId), endpointId);
  }

  /** Whoever changes deliveries has the endpoint to themselves: the courier waits, and so do others. */
  private async lockEndpoint(tx: Tx, endpointId: string): Promise<WebhookEndpoint> {
    return found(await this.endpoints.lock(tx, endpointId), endpointId);
  }

  private async dtoOf(tx: Tx, endpointId: string, deliveryId: string): Promise<WebhookDeliveryDto> {
    const delivery = await this.deliveries.find(tx, endpointId, deliveryId);
    if (delivery === null) throw notFound('delivery', deliveryId);
    return toWebhookDeliveryDto(delivery);
  }
}

function found(endpoint: WebhookEndpoint | null, endpointId: string): WebhookEndpoint {
  if (endpoint === null) throw notFound('webhook endpoint', endpointId);
  return endpoint;
}
