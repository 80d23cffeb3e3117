import { setTimeout as sleep } from 'node:timers/promises';
import { WebhookDeliveriesRepository } from '../../src/modules/webhook-endpoints/webhook-deliveries.repository';
import { WebhookEndpointsRepository } from '../../src/modules/webhook-endpoints/webhook-endpoints.repository';
import { WEBHOOK_EVENT_TYPES } from '../../src/modules/webhook-endpoints/webhook-event-types';
import { Transactions } from '../../src/platform/database/transactions';
import { systemPrincipal } from '../../src/platform/security/principal';
import { TEST_NOW, type TestApp } from './test-app';

/**
 * Makes the deliveries of an endpoint without sending any, and answers their ids, newest first. Events are taken up when
 * every transaction before them has ended, those of other tests on the same server included: so this may take a moment.
 */
export async function dispatchWebhooks(
  test: TestApp,
  organisationId: string,
  endpointId: string,
  atLeast: number,
): Promise<string[]> {
  const endpoints = test.app.get(WebhookEndpointsRepository);
  const deliveries = test.app.get(WebhookDeliveriesRepository);
  const dispatch = (): Promise<string[]> =>
    test.app.get(Transactions).run(systemPrincipal(organisationId, 'test'), async (tx) => {
      const endpoint = await endpoints.lock(tx, endpointId);
      if (endpoint === null) throw new Error(`there is no endpoint ${endpointId}`);
      await deliveries.dispatch(tx, endpoint, WEBHOOK_EVENT_TYPES, new Date(TEST_NOW), 500);
      return (await deliveries.list(tx, endpointId, undefined, null, 500)).map(({ id }) => id);
    });
  for (;;) {
    const ids = await dispatch();
    if (ids.length >= atLeast) return ids;
    await sleep(20);
  }
}
