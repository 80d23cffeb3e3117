import { Inject, Injectable } from '@nestjs/common';
import type { Logger } from 'pino';
import { Clock } from '../../platform/clock/clock';
import { Transactions } from '../../platform/database/transactions';
import { Jobs } from '../../platform/jobs/jobs';
import type { JobData } from '../../platform/jobs/job-queues';
import { LOGGER } from '../../platform/observability/logging';
import { systemPrincipal } from '../../platform/security/principal';
import type { PostOutcome } from '../../platform/outbound/post-message';
import { consentMessage } from './webhook-message';
import { EndpointChangesService } from './endpoint-changes.service';
import { endpointState } from './endpoint-state';
import { retryDelayMs } from './retry-schedule';
import type { WebhookEndpoint } from './webhook-endpoint.entity';
import { WebhookEndpointsRepository } from './webhook-endpoints.repository';
import { WebhookSenderService, type SentMessage } from './webhook-sender.service';

/**
 * Asks a receiver whether it wants to be sent anything: it proves that it can read our messages and agrees by
 * answering with the challenge. Nothing else is sent before.
 */
@Injectable()
export class WebhookConsentService {
  constructor(
    private readonly transactions: Transactions,
    private readonly endpoints: WebhookEndpointsRepository,
    private readonly changes: EndpointChangesService,
    private readonly sender: WebhookSenderService,
    private readonly jobs: Jobs,
    private readonly clock: Clock,
    @Inject(LOGGER) private readonly logger: Logger,
  ) {}

  /** One attempt; where it fails, the next one is put into the queue. */
  async run(request: JobData['request-webhook-consent']): Promise<void> {
    const { organisationId, endpointId } = request;
    const system = systemPrincipal(organisationId, 'consent to webhooks');
    const asked = await this.transactions.run(system, async (tx) => {
      const endpoint = await this.endpoints.find(tx, endpointId);
      if (endpoint === null || !isOpen(endpoint, request)) return null;
      return { endpoint, secrets: await this.endpoints.secretsOf(tx, [endpointId]) };
    });
    if (asked === null) return;
    const { endpoint, secrets } = asked;
    const body = JSON.stringify(consentMessage(endpoint, new Date(this.clock.now())));
    const sent = await this.sender.send(endpoint, secrets, endpoint.consentRequestId, body);
    await this.transactions.run(system, async (tx) => {
      const current = await this.endpoints.lock(tx, endpointId);
      if (current === null || !isOpen(current, request)) return;
      const lastConsentAttempt = sent.attempt;
      if (sent.verdict.kind === 'gone') {
        const disabled = { enabled: false, disabledReason: 'gone', lastConsentAttempt } as const;
        await this.changes.change(tx, system, current, 'disabled', disabled);
      } else if (isConsent(sent.outcome, current.challenge)) {
        const consented = { consentedAt: new Date(this.clock.now()), lastConsentAttempt };
        await this.changes.follow(tx, await this.changes.change(tx, system, current, 'consented', consented));
      } else {
        await this.changes.store(tx, current, { lastConsentAttempt });
        const failedAttempts = request.failedAttempts + 1;
        const again = this.nextAt(failedAttempts, sent);
        if (again !== null)
          await this.jobs.enqueue(tx, 'request-webhook-consent', { ...request, failedAttempts }, again);
        else this.logger.info({ endpointId }, 'a receiver of webhooks has not consented');
      }
    });
  }

  private nextAt(failedAttempts: number, { verdict }: SentMessage): Date | null {
    const delay = retryDelayMs(failedAttempts, Math.random());
    return delay === null ? null : new Date(this.clock.now() + Math.max(delay, verdict.retryAfterMs ?? 0));
  }
}

const isOpen = (
  endpoint: WebhookEndpoint,
  { consentRequestId }: JobData['request-webhook-consent'],
): boolean =>
  endpoint.consentRequestId === consentRequestId && endpointState(endpoint) === 'awaiting-consent';

function isConsent(outcome: PostOutcome, challenge: string): boolean {
  if (outcome.kind !== 'answered' || outcome.status < 200 || outcome.status >= 300) return false;
  try {
    const answer: unknown = JSON.parse(outcome.body);
    return (
      typeof answer === 'object' && answer !== null && 'challenge' in answer && answer.challenge === challenge
    );
  } catch (error) {
    if (error instanceof SyntaxError) return false;
    throw error;
  }
}
