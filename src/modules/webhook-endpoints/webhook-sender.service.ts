import { Inject, Injectable } from '@nestjs/common';
import { Clock } from '../../platform/clock/clock';
import type { Config } from '../../platform/config/config';
import { CONFIG } from '../../platform/config/config.module';
import { DATABASE_SECRET } from '../../platform/database/database.module';
import { machineNetwork, type Network } from '../../platform/outbound/outbound-network';
import type { OutboundRules } from '../../platform/outbound/outbound-target';
import { postMessage, type PostOutcome } from '../../platform/outbound/post-message';
import { attemptOf, type DeliveryAttempt } from './delivery-attempt';
import { verdictOf, type Verdict } from './verdict';
import type { WebhookEndpoint } from './webhook-endpoint.entity';
import { openWebhookSecret, signedHeaders } from './webhook-secret';
import type { WebhookSigningSecret } from './webhook-signing-secret.entity';

// more than any receiver needs to say that it has understood
const ANSWER_LIMIT_BYTES = 16_384;

/** What was sent and what came of it. */
export interface SentMessage {
  attempt: DeliveryAttempt;
  verdict: Verdict;
  outcome: PostOutcome;
}

/** Signs messages and sends them, each once. */
@Injectable()
export class WebhookSenderService {
  /** where messages may go */
  readonly rules: OutboundRules;
  private readonly timeoutMs: number;
  private readonly network: Network = machineNetwork;

  constructor(
    private readonly clock: Clock,
    @Inject(DATABASE_SECRET) private readonly installationSecret: string,
    @Inject(CONFIG) config: Config,
  ) {
    this.rules = { ports: config.webhookPorts, allowLoopback: config.webhookToLoopback };
    this.timeoutMs = config.webhookTimeoutMs;
  }

  /**
   * @param messageId the same for every attempt, so that a receiver knows a repetition
   * @throws only when `signal` gave the attempt up
   */
  async send(
    { id, url }: Pick<WebhookEndpoint, 'id' | 'url'>,
    secrets: readonly WebhookSigningSecret[],
    messageId: string,
    body: string,
    signal?: AbortSignal,
  ): Promise<SentMessage> {
    const at = this.clock.now();
    const inForce = secrets.filter(({ endsAt }) => endsAt === null || endsAt.getTime() > at);
    const opened = inForce.map(({ sealed }) => openWebhookSecret(this.installationSecret, id, sealed));
    const headers = {
      'content-type': 'application/cloudevents+json; charset=utf-8',
      'user-agent': 'Precharge-Webhooks',
      ...signedHeaders(opened, messageId, at, body),
    };
    const outcome = await postMessage(
      { url, headers, body },
      {
        rules: this.rules,
        timeoutMs: this.timeoutMs,
        answerLimitBytes: ANSWER_LIMIT_BYTES,
        network: this.network,
        ...(signal === undefined ? {} : { signal }),
      },
    );
    return { attempt: attemptOf(outcome, at), verdict: verdictOf(outcome, this.clock.now()), outcome };
  }
}
