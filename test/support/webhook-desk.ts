import { setTimeout as sleep } from 'node:timers/promises';
import { WebhookConsentService } from '../../src/modules/webhook-endpoints/webhook-consent.service';
import { WebhookTurnService } from '../../src/modules/webhook-endpoints/webhook-turn.service';
import { Turns } from '../../src/platform/database/turns';
import { Operator } from './operator';
import { TEST_NOW, type TestApp } from './test-app';
import { WebhookReceiver } from './webhook-receiver';

export interface EndpointShown {
  id: string;
  url: string;
  state: string;
  enabled: boolean;
  disabledReason: string | null;
  failingSince: string | null;
  eventsLostAt: string | null;
  consentedAt: string | null;
  lastConsentAttempt: AttemptShown | null;
  secrets: { id: string; endsAt: string | null }[];
  fleetIds: string[] | null;
  revision: number;
  secret?: string | null;
}

export interface AttemptShown {
  startedAt: string;
  durationMs: number;
  status: number | null;
  failure: string | null;
  detail: string | null;
  answer: string | null;
}

export interface DeliveryShown {
  id: string;
  eventId: string;
  eventType: string;
  orderingKey: string;
  state: string;
  failedAttempts: number;
  nextAttemptAt: string | null;
  attempts: AttemptShown[];
  settledAt: string | null;
}

const NEVER = new AbortController().signal;
// later than every turn that may be due by the clock of a test
const FAR = new Date(8.64e15);

/** An operator with a receiver of webhooks, and the courier's work done when a test asks for it. */
export class WebhookDesk {
  private now = TEST_NOW;

  private constructor(
    private readonly test: TestApp,
    readonly operator: Operator,
    readonly receiver: WebhookReceiver,
  ) {}

  static async open(test: TestApp, name: string): Promise<WebhookDesk> {
    test.setNow(TEST_NOW);
    return new WebhookDesk(test, await Operator.of(test, name), await WebhookReceiver.start());
  }

  async close(): Promise<void> {
    this.receiver.stop();
    await this.sql(`DELETE FROM app.turns WHERE organisation_id = $1`);
  }

  get time(): number {
    return this.now;
  }

  /** Lets time go by. */
  pass(ms: number): void {
    this.now += ms;
    this.test.setNow(this.now);
  }

  /** Adds an endpoint that is told of what is recorded from now on, and of nothing that others have kept from settling. */
  async addEndpoint(body: object = {}): Promise<EndpointShown> {
    await this.settled();
    return this.operator.admin.ok('post', '/v1/webhook-endpoints', {
      body: { url: this.receiver.url, ...body },
    });
  }

  /** Adds an endpoint whose receiver has consented. */
  async openEndpoint(body: object = {}): Promise<EndpointShown> {
    const endpoint = await this.addEndpoint(body);
    await this.askForConsent(endpoint.id);
    return endpoint;
  }

  endpoint(id: string): Promise<EndpointShown> {
    return this.operator.admin.ok('get', `/v1/webhook-endpoints/${id}`);
  }

  async change(id: string, body: object): Promise<EndpointShown> {
    const { revision } = await this.endpoint(id);
    const ifMatch = `"r${revision}"`;
    return this.operator.admin.ok('patch', `/v1/webhook-endpoints/${id}`, { ifMatch, body });
  }

  async deliveries(endpointId: string, query = ''): Promise<DeliveryShown[]> {
    const path = `/v1/webhook-endpoints/${endpointId}/deliveries?limit=500${query}`;
    return (await this.operator.admin.ok<{ items: DeliveryShown[] }>('get', path)).items;
  }

  /** One attempt to get the receiver's consent, as the job makes it. */
  async askForConsent(endpointId: string, consentRequestId?: string): Promise<void> {
    await this.test.app.get(WebhookConsentService).run({
      organisationId: this.operator.organisationId,
      endpointId,
      consentRequestId: consentRequestId ?? (await this.consentRequestOf(endpointId)),
      failedAttempts: 0,
    });
  }

  async consentRequestOf(endpointId: string): Promise<string> {
    const [row] = await this.sql<{ id: string }>(
      `SELECT consent_request_id AS id FROM webhook_endpoints WHERE organisation_id = $1 AND id = $2`,
      [endpointId],
    );
    return row!.id;
  }

  /** One turn of every endpoint that has one. */
  async deliver(): Promise<void> {
    const turns = await this.test.app.get(Turns).take('webhook-endpoint', FAR, 100);
    const signals = { stopping: NEVER, givingUp: NEVER };
    await Promise.all(turns.map((turn) => this.test.app.get(WebhookTurnService).run(turn, signals)));
  }

  /**
   * Turns until something is true. Events come to their turn when every transaction before them has ended, those of
   * other tests on the same server included, so the first turn may be too early.
   */
  async deliverUntil(isSo: () => boolean | Promise<boolean>): Promise<void> {
    do await this.deliver();
    while (!(await isSo()));
  }

  /** A turn after everything that was recorded so far may be told. */
  async deliverAll(): Promise<void> {
    await this.settled();
    await this.deliver();
  }

  private async settled(): Promise<void> {
    for (let isSo = false; !isSo;) {
      const [row] = await this.sql<{ settled: boolean }>(
        `SELECT app.settled_before() > COALESCE(max(xid), 0) AS settled FROM events WHERE organisation_id = $1`,
      );
      isSo = row?.settled === true;
      await sleep(20);
    }
  }

  /** A statement that names the organisation as its first parameter: the owner of a test database sees all of them. */
  sql<Row>(sql: string, parameters: unknown[] = []): Promise<Row[]> {
    return this.operator.sql<Row>(sql, [this.operator.organisationId, ...parameters]);
  }
}
