import { isDeepStrictEqual } from 'node:util';
import { Inject, Injectable } from '@nestjs/common';
import { v7 as uuidv7 } from 'uuid';
import { Clock } from '../../platform/clock/clock';
import { checkAccessLimits } from '../../platform/database/access-limits';
import { DATABASE_SECRET } from '../../platform/database/database.module';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { Turns } from '../../platform/database/turns';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import { targetFault } from '../../platform/outbound/outbound-target';
import { shownOnce } from '../../platform/security/shown-once';
import { auditedEndpoint } from './audited-endpoint';
import {
  toWebhookEndpointDto,
  type NewWebhookSecretDto,
  type WebhookEndpointDto,
} from './dto/webhook-endpoint.dto';
import type {
  CreateWebhookEndpointDto,
  RotateWebhookSecretDto,
  UpdateWebhookEndpointDto,
} from './dto/write-webhook-endpoint.dto';
import { EndpointChangesService } from './endpoint-changes.service';
import { endpointState } from './endpoint-state';
import { WebhookDeliveriesRepository } from './webhook-deliveries.repository';
import type { WebhookEndpoint } from './webhook-endpoint.entity';
import {
  notAwaitingConsent,
  tooManyEndpoints,
  tooManySecrets,
  urlNotAcceptable,
} from './webhook-endpoints.errors';
import { WebhookEndpointsRepository } from './webhook-endpoints.repository';
import { newWebhookSecret, sealWebhookSecret } from './webhook-secret';
import { WebhookSenderService } from './webhook-sender.service';

const MS_PER_HOUR = 3_600_000;
const MOST_ENDPOINTS = 50;
// each has its signature in the headers of every message
const MOST_SECRETS = 4;

@Injectable()
export class WebhookEndpointsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly endpoints: WebhookEndpointsRepository,
    private readonly deliveries: WebhookDeliveriesRepository,
    private readonly changes: EndpointChangesService,
    private readonly sender: WebhookSenderService,
    private readonly turns: Turns,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
    @Inject(DATABASE_SECRET) private readonly installationSecret: string,
  ) {}

  list(
    { principal }: RequestContext,
    { limit = 50, cursor }: PageQueryDto,
  ): Promise<Page<WebhookEndpointDto>> {
    const bound = { list: 'webhook-endpoints', organisationId: principal.organisationId };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.endpoints.list(tx, after === null ? null : String(after[0]), limit);
      const secrets = await this.endpoints.secretsOf(
        tx,
        rows.map(({ id }) => id),
      );
      const now = this.clock.now();
      return this.cursors.page(
        rows,
        limit,
        bound,
        ({ id }) => [id],
        (row) => toWebhookEndpointDto(row, secrets, now),
      );
    });
  }

  get({ principal }: RequestContext, endpointId: string): Promise<WebhookEndpointDto> {
    return this.transactions.read(principal, async (tx) => {
      const endpoint = await this.endpoints.find(tx, endpointId);
      if (endpoint === null) throw notFound('webhook endpoint', endpointId);
      return this.dtoOf(tx, endpoint);
    });
  }

  async create(context: RequestContext, body: CreateWebhookEndpointDto): Promise<NewWebhookSecretDto> {
    const { principal } = context;
    const { organisationId, actor } = principal;
    const url = this.acceptedUrl(body.url);
    const {
      description = null,
      eventTypes = null,
      fleetIds = null,
      workshopIds = null,
      enabled = true,
    } = body;
    const { answer, secret } = await shownOnce('id', (show) =>
      this.transactions.write(context, async (tx) => {
        await checkAccessLimits(tx, { fleetIds, workshopIds });
        if ((await this.endpoints.count(tx)) >= MOST_ENDPOINTS) throw tooManyEndpoints(MOST_ENDPOINTS);
        const endpoint = await this.endpoints.create(tx, {
          id: uuidv7(),
          organisationId,
          url,
          description,
          eventTypes,
          fleetIds,
          workshopIds,
          enabled,
          ...this.changes.newConsentRequest(null),
          // from here on
          cursorXid: await this.endpoints.settledBefore(tx),
          cursorSequence: '0',
          createdBy: actor,
        });
        await this.addSecret(tx, endpoint, show);
        await this.changes.record(tx, principal, endpoint.id, 'created', {
          after: auditedEndpoint(endpoint),
        });
        await this.changes.follow(tx, endpoint);
        return this.dtoOf(tx, endpoint);
      }),
    );
    return { ...answer, secret };
  }

  update(
    context: RequestContext,
    endpointId: string,
    revision: number,
    body: UpdateWebhookEndpointDto,
  ): Promise<WebhookEndpointDto> {
    const { principal } = context;
    const patch = { ...body, ...(body.url === undefined ? {} : { url: this.acceptedUrl(body.url) }) };
    return this.transactions.write(context, async (tx) => {
      const endpoint = await this.require(tx, endpointId);
      expectRevision(endpoint, revision);
      if (isDeepStrictEqual({ ...endpoint, ...patch }, { ...endpoint })) return this.dtoOf(tx, endpoint);
      const moved = patch.url !== undefined && patch.url !== endpoint.url;
      const opened = patch.enabled === true && !endpoint.enabled;
      // who moved has not been asked yet, and who was gone said no
      const isAsked =
        moved || (opened && (endpoint.disabledReason === 'gone' || endpoint.consentedAt === null));
      const saved = await this.changes.change(tx, principal, endpoint, 'changed', {
        ...patch,
        ...(opened ? { disabledReason: null, failingSince: null, resumeAt: null } : {}),
        ...(isAsked
          ? { consentedAt: null, lastConsentAttempt: null, ...this.changes.newConsentRequest(endpoint) }
          : {}),
      });
      if (opened) await this.deliveries.hurry(tx, endpointId, new Date(this.clock.now()));
      if (opened || moved) await this.changes.follow(tx, saved);
      return this.dtoOf(tx, saved);
    });
  }

  delete(context: RequestContext, endpointId: string, revision: number): Promise<void> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const endpoint = await this.require(tx, endpointId);
      expectRevision(endpoint, revision);
      await this.endpoints.delete(tx, endpoint);
      await this.turns.remove(tx, 'webhook-endpoint', principal.organisationId, endpointId);
      await this.changes.record(tx, principal, endpointId, 'deleted', { before: auditedEndpoint(endpoint) });
    });
  }

  async rotateSecret(
    context: RequestContext,
    endpointId: string,
    { overlapHours = 24 }: RotateWebhookSecretDto,
  ): Promise<NewWebhookSecretDto> {
    const { principal } = context;
    // of several attempts at the transaction the last one stands
    const { answer, secret } = await shownOnce('id', (show) =>
      this.transactions.write(context, async (tx) => {
        const endpoint = await this.require(tx, endpointId);
        const now = this.clock.now();
        await this.endpoints.endSecrets(
          tx,
          endpointId,
          new Date(now),
          new Date(now + overlapHours * MS_PER_HOUR),
        );
        const kept = (await this.endpoints.secretsOf(tx, [endpointId])).filter(
          ({ endsAt }) => endsAt !== null && endsAt.getTime() > now,
        );
        if (kept.length >= MOST_SECRETS) throw tooManySecrets(earliestEnd(kept));
        await this.addSecret(tx, endpoint, show);
        const saved = await this.changes.store(tx, endpoint, {});
        await this.changes.record(tx, principal, endpointId, 'secret-rotated', { after: { overlapHours } });
        return this.dtoOf(tx, saved);
      }),
    );
    return { ...answer, secret };
  }

  /** Asks for consent anew, with another challenge; answers to the request before count no more. */
  requestConsent(context: RequestContext, endpointId: string): Promise<WebhookEndpointDto> {
    return this.transactions.write(context, async (tx) => {
      const endpoint = await this.require(tx, endpointId);
      const state = endpointState(endpoint);
      if (state !== 'awaiting-consent') throw notAwaitingConsent(state);
      const saved = await this.changes.store(tx, endpoint, this.changes.newConsentRequest(endpoint));
      await this.changes.follow(tx, saved);
      return this.dtoOf(tx, saved);
    });
  }

  private async require(tx: Tx, endpointId: string): Promise<WebhookEndpoint> {
    const endpoint = await this.endpoints.lock(tx, endpointId);
    if (endpoint === null) throw notFound('webhook endpoint', endpointId);
    return endpoint;
  }

  private acceptedUrl(url: string): string {
    const fault = targetFault(url, this.sender.rules);
    if (fault !== null) throw urlNotAcceptable(fault);
    return new URL(url).href;
  }

  private async addSecret(
    tx: Tx,
    { organisationId, id }: WebhookEndpoint,
    show: (name: string, secret: string) => void,
  ): Promise<void> {
    const secret = newWebhookSecret();
    await this.endpoints.addSecret(
      tx,
      organisationId,
      id,
      sealWebhookSecret(this.installationSecret, id, secret),
    );
    show(id, secret);
  }

  private async dtoOf(tx: Tx, endpoint: WebhookEndpoint): Promise<WebhookEndpointDto> {
    return toWebhookEndpointDto(
      endpoint,
      await this.endpoints.secretsOf(tx, [endpoint.id]),
      this.clock.now(),
    );
  }
}

function earliestEnd(secrets: readonly { endsAt: Date | null }[]): Date {
  return new Date(Math.min(...secrets.map(({ endsAt }) => endsAt?.getTime() ?? Infinity)));
}
