import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { freePort } from '../support/api-process';
import { startTestApp, type TestApp } from '../support/test-app';
import { WebhookDesk } from '../support/webhook-desk';

// The receiver that docs/webhooks.md shows, as it stands there: with a port of the test, and a store that prints.

let test: TestApp;
let desk: WebhookDesk;
let receiver: ChildProcess | null = null;

beforeAll(async () => {
  test = await startTestApp({ webhookToLoopback: true });
  desk = await WebhookDesk.open(test, 'Tarn Valley Patient Transport');
  // it takes nothing that is older than five minutes by its own clock
  desk.pass(Date.now() - desk.time);
});
afterEach(() => receiver?.kill());
afterAll(async () => {
  await desk.close();
  await test.close();
});

async function startReceiver(port: number, secret: string): Promise<string[]> {
  const [, code = ''] = /```js\n(.*?)```/s.exec(readFileSync('docs/webhooks.md', 'utf8')) ?? [];
  expect(code).toContain('.listen(8443)');
  const script = `${code.replace('.listen(8443)', `.listen(${port}, '127.0.0.1', () => console.log('listening'))`)}
    const store = (id, event) => console.log(id, event.type);`;
  receiver = spawn(process.execPath, ['--input-type=module', '-e', script], {
    env: { PATH: process.env.PATH, PRECHARGE_WEBHOOK_SECRET: secret },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const lines: string[] = [];
  const { stdout } = receiver;
  if (stdout === null) throw new Error('the receiver has no output');
  stdout.setEncoding('utf8').on('data', (text: string) => lines.push(...text.trim().split('\n')));
  await once(stdout, 'data');
  return lines;
}

it('the receiver of the documentation consents, verifies and stores', async () => {
  const port = await freePort();
  const endpoint = await desk.addEndpoint({ url: `http://127.0.0.1:${port}/precharge` });
  const lines = await startReceiver(port, endpoint.secret!);
  await desk.askForConsent(endpoint.id);
  expect(await desk.endpoint(endpoint.id)).toMatchObject({ state: 'active' });
  await desk.operator.fleet('Patient transport');
  await desk.deliverAll();
  const [delivery] = await desk.deliveries(endpoint.id);
  expect(delivery).toMatchObject({ state: 'delivered', attempts: [{ status: 204 }] });
  expect(lines).toEqual(['listening', `${delivery!.eventId} fleet.created`]);
});

it('the receiver of the documentation refuses who has another secret', async () => {
  const port = await freePort();
  const endpoint = await desk.addEndpoint({ url: `http://127.0.0.1:${port}/precharge` });
  const other = await desk.addEndpoint({ url: `http://127.0.0.1:${port}/precharge` });
  await startReceiver(port, other.secret!);
  await desk.askForConsent(endpoint.id);
  expect(await desk.endpoint(endpoint.id)).toMatchObject({
    state: 'awaiting-consent',
    lastConsentAttempt: { status: 401 },
  });
});
