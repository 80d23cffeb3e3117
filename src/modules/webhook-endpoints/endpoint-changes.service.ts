import { randomBytes } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { v7 as uuidv7 } from 'uuid';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { Tx } from '../../platform/database/transactions';
import { Clock } from '../../platform/clock/clock';
import { Turns } from '../../platform/database/turns';
import { Jobs } from '../../platform/jobs/jobs';
import type { Principal } from '../../platform/security/principal';
import { auditedEndpoint, type AuditedEndpoint } from './audited-endpoint';
import type { healthAfter } from './endpoint-health';
import { endpointState } from './endpoint-state';
import type { WebhookEndpoint } from './webhook-endpoint.entity';
import { WebhookEndpointsRepository } from './webhook-endpoints.repository';

const CHALLENGE_BYTES = 24;
const CONSENT_EVERY_MS = 30_000;

/** Changes of an endpoint and what follows from them, whoever makes them: its people, its receiver, or time. */
@Injectable()
export class EndpointChangesService {
  constructor(
    private readonly endpoints: WebhookEndpointsRepository,
    private readonly audit: AuditTrail,
    private readonly jobs: Jobs,
    private readonly turns: Turns,
    private readonly clock: Clock,
  ) {}

  /**
   * A request with a challenge of its own. Not sooner than half a minute after the one before: an address that has not
   * consented cannot be made to be asked again and again.
   */
  newConsentRequest(
    before: WebhookEndpoint | null,
  ): Pick<WebhookEndpoint, 'consentRequestId' | 'consentRequestedAt' | 'challenge'> {
    const earliest = before === null ? 0 : before.consentRequestedAt.getTime() + CONSENT_EVERY_MS;
    return {
      consentRequestId: uuidv7(),
      consentRequestedAt: new Date(Math.max(this.clock.now(), earliest)),
      challenge: randomBytes(CHALLENGE_BYTES).toString('base64url'),
    };
  }

  /** Changes an endpoint that the caller has locked, and writes down who did what to it. */
  async change(
    tx: Tx,
    principal: Principal,
    endpoint: WebhookEndpoint,
    action: 'changed' | 'consented' | 'disabled',
    values: Partial<WebhookEndpoint>,
  ): Promise<WebhookEndpoint> {
    const before = auditedEndpoint(endpoint);
    const saved = await this.store(tx, endpoint, values);
    await this.record(tx, principal, endpoint.id, action, { before, after: auditedEndpoint(saved) });
    return saved;
  }

  /** Changes what nobody decided on and nobody has to answer for. */
  store(tx: Tx, endpoint: WebhookEndpoint, values: Partial<WebhookEndpoint>): Promise<WebhookEndpoint> {
    Object.assign(endpoint, values);
    endpoint.revision += 1;
    return this.endpoints.save(tx, endpoint);
  }

  async record(
    tx: Tx,
    principal: Principal,
    endpointId: string,
    action: 'created' | 'changed' | 'deleted' | 'secret-rotated' | 'replayed' | 'consented' | 'disabled',
    change: { before?: AuditedEndpoint; after?: AuditedEndpoint | object },
  ): Promise<void> {
    await this.audit.record(tx, principal, {
      action,
      subjectType: 'webhook-endpoint',
      subjectId: endpointId,
      ...change,
    });
  }

  /** Sees to it that the next thing happens: an endpoint without consent is asked for it, an open one has its turn. */
  async follow(tx: Tx, endpoint: WebhookEndpoint): Promise<void> {
    const { organisationId, id: endpointId, consentRequestId, consentRequestedAt } = endpoint;
    const state = endpointState(endpoint);
    if (state === 'active') await this.callTurn(tx, organisationId, endpointId);
    if (state === 'awaiting-consent') {
      const request = { organisationId, endpointId, consentRequestId, failedAttempts: 0 };
      await this.jobs.enqueue(tx, 'request-webhook-consent', request, consentRequestedAt);
    }
  }

  callTurn(tx: Tx, organisationId: string, endpointId: string): Promise<void> {
    return this.turns.call(tx, 'webhook-endpoint', organisationId, endpointId, new Date(this.clock.now()));
  }

  /** Takes over what attempts say of an endpoint. */
  async setHealth(
    tx: Tx,
    principal: Principal,
    endpoint: WebhookEndpoint,
    { failingSince, resumeAt, disabled }: ReturnType<typeof healthAfter>,
  ): Promise<void> {
    const dateOf = (instant: number | null): Date | null => (instant === null ? null : new Date(instant));
    const health = { failingSince: dateOf(failingSince), resumeAt: dateOf(resumeAt) };
    if (disabled !== null) {
      await this.change(tx, principal, endpoint, 'disabled', {
        ...health,
        enabled: false,
        disabledReason: disabled,
      });
    } else if (
      failingSince !== (endpoint.failingSince?.getTime() ?? null) ||
      resumeAt !== (endpoint.resumeAt?.getTime() ?? null)
    ) {
      await this.store(tx, endpoint, health);
    }
  }
}
