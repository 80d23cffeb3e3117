import { execFile } from 'node:child_process';
import { once } from 'node:events';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { createServer as createSecureServer } from 'node:https';
import { connect, createServer as createTcpServer, type AddressInfo, type Socket } from 'node:net';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { postMessage, type PostOutcome, type PostSettings } from '../../src/platform/outbound/post-message';
import { ensureBuilt, freePort } from '../support/api-process';
import { RECEIVER_CERTIFICATE, RECEIVER_KEY } from '../support/receiver-certificate';

const LOOPBACK = { ports: [443], allowLoopback: true };

let server: Server;
let connections = 0;
let answer: (request: IncomingMessage, response: ServerResponse) => void;

beforeAll(async () => {
  server = createServer((request, response) => answer(request, response)).listen(0, '127.0.0.1');
  server.on('connection', () => {
    connections += 1;
  });
  await once(server, 'listening');
});
afterAll(() => {
  server.closeAllConnections();
  server.close();
});

const portOf = (one: { address(): unknown }): number => (one.address() as AddressInfo).port;

function post(
  settings: Partial<PostSettings> = {},
  url = `http://127.0.0.1:${portOf(server)}/in?a=b`,
): Promise<PostOutcome> {
  return postMessage(
    { url, headers: { 'content-type': 'application/json', 'webhook-id': 'msg_1' }, body: '{"größe":1}' },
    { rules: LOOPBACK, timeoutMs: 20_000, answerLimitBytes: 1_000, ...settings },
  );
}

it('sends method, path, headers and body as they are, and tells status, beginning and Retry-After', async () => {
  const seen: unknown[] = [];
  answer = (request, response) => {
    const chunks: Buffer[] = [];
    request.on('data', (chunk: Buffer) => chunks.push(chunk));
    request.on('end', () => {
      const { method, url, headers } = request;
      seen.push(method, url, headers['webhook-id'], headers.connection, Buffer.concat(chunks).toString());
      response.writeHead(429, { 'retry-after': '17' }).end('slowly, please');
    });
  };
  expect(await post()).toMatchObject({
    kind: 'answered',
    status: 429,
    retryAfter: '17',
    body: 'slowly, please',
  });
  expect(seen).toEqual(['POST', '/in?a=b', 'msg_1', 'close', '{"größe":1}']);
});

it('makes a connection for each message', async () => {
  answer = (_request, response) => response.setHeader('connection', 'keep-alive').end('ok');
  const before = connections;
  for (let n = 0; n < 3; n++) expect(await post()).toMatchObject({ status: 200 });
  expect(connections - before).toBe(3);
});

it.each([301, 302, 303, 307, 308])('follows no redirect: %i is the answer', async (status) => {
  let asked = 0;
  answer = (_request, response) => {
    asked += 1;
    response.writeHead(status, { location: `http://127.0.0.1:${portOf(server)}/elsewhere` }).end();
  };
  expect(await post()).toMatchObject({ kind: 'answered', status });
  expect(asked).toBe(1);
});

it('reads no more of an answer than the limit, however much there is', async () => {
  answer = (_request, response) => {
    response.writeHead(200);
    const more = (): void => {
      while (!response.destroyed && response.write('x'.repeat(10_000)));
    };
    response.on('drain', more);
    more();
  };
  const outcome = await post();
  expect(outcome).toMatchObject({ kind: 'answered', status: 200, body: 'x'.repeat(1_000) });
});

it.each<[string, string, (request: IncomingMessage, response: ServerResponse) => void]>([
  ['that never answers', 'timeout', () => undefined],
  [
    'that sends a byte now and then',
    'timeout',
    (_request, response) => {
      response.writeHead(200);
      const drip = setInterval(() => response.write('.'), 20);
      response.on('close', () => clearInterval(drip));
    },
  ],
  ['that hangs up before it answers', 'cut', (request) => request.socket.destroy()],
  [
    'that hangs up within its answer',
    'cut',
    (request, response) => {
      response
        .writeHead(200, { 'content-length': '100' })
        .write('ten bytes.', () => request.socket.destroy());
    },
  ],
  ['that speaks something else', 'cut', (request) => request.socket.end('220 mail ready\r\n')],
])('a receiver %s has failed: %s', async (_, failure, how) => {
  answer = how;
  expect(await post({ timeoutMs: 400 })).toMatchObject({
    kind: 'failed',
    failure,
    detail: expect.stringMatching(/./) as string,
  });
});

it('a name server that does not answer has failed like a receiver', async () => {
  const network = { resolve: () => new Promise<never>(() => undefined), dial: () => connect(1) };
  expect(
    await post(
      { timeoutMs: 50, network, rules: { ports: [443], allowLoopback: false } },
      'https://receiver.example/',
    ),
  ).toMatchObject({ failure: 'timeout' });
});

it('nobody listens', async () => {
  const url = `http://127.0.0.1:${await freePort()}/`;
  expect(await post({}, url)).toMatchObject({ failure: 'no-connection' });
  expect(await post({}, url.replace('127.0.0.1', 'localhost'))).toMatchObject({ failure: 'no-connection' });
});

it('there is no such name (RFC 6761 reserves "invalid")', async () => {
  expect(
    await post({ rules: { ports: [443], allowLoopback: false } }, 'https://receiver.invalid/'),
  ).toMatchObject({
    failure: 'unknown-host',
  });
});

it('gives up when it is told to, and says so by failing', async () => {
  answer = () => undefined;
  const giveUp = new AbortController();
  const sent = post({ signal: giveUp.signal });
  giveUp.abort(new Error('stopping'));
  await expect(sent).rejects.toThrow();
});

describe('over TLS', () => {
  let secure: ReturnType<typeof createSecureServer>;
  const play = {
    resolve: () => Promise.resolve([{ address: '1.2.3.4', family: 4 }]),
    dial: (): Socket => connect(portOf(secure), '127.0.0.1'),
  };
  beforeAll(async () => {
    secure = createSecureServer({ key: RECEIVER_KEY, cert: RECEIVER_CERTIFICATE }, (_request, response) =>
      response.end('ok'),
    );
    secure.listen(0, '127.0.0.1');
    await once(secure, 'listening');
  });
  afterAll(() => {
    secure.closeAllConnections();
    secure.close();
  });
  const ask = (host: string, ca?: string): Promise<PostOutcome> =>
    post(
      { network: play, ...(ca === undefined ? {} : { ca }), rules: { ports: [443], allowLoopback: false } },
      `https://${host}/`,
    );

  it('a certificate that is trusted and names the host is taken', async () => {
    expect(await ask('receiver.example', RECEIVER_CERTIFICATE)).toMatchObject({ status: 200, body: 'ok' });
  });

  it('one that nobody vouches for, or that names another host, is not', async () => {
    expect(await ask('receiver.example')).toMatchObject({ failure: 'bad-certificate' });
    expect(await ask('other.example', RECEIVER_CERTIFICATE)).toMatchObject({ failure: 'bad-certificate' });
    expect(await ask('1.2.3.4', RECEIVER_CERTIFICATE)).toMatchObject({ failure: 'bad-certificate' });
  });
});

it('asks no proxy, whatever the environment says', async () => {
  ensureBuilt();
  let asked = 0;
  const proxy = createTcpServer((socket) => {
    asked += 1;
    socket.destroy();
  }).listen(0, '127.0.0.1');
  await once(proxy, 'listening');
  answer = (_request, response) => response.end('ok');
  const script = `require(process.argv[1]).postMessage({ url: process.argv[2], headers: {}, body: '{}' },
    { rules: { ports: [443], allowLoopback: true }, timeoutMs: 10000, answerLimitBytes: 100 })
    .then((outcome) => console.log(JSON.stringify(outcome)))`;
  const address = `http://127.0.0.1:${portOf(proxy)}`;
  try {
    // NODE_USE_ENV_PROXY makes the agents of the platform follow the other three
    const environment = {
      NODE_USE_ENV_PROXY: '1',
      HTTP_PROXY: address,
      HTTPS_PROXY: address,
      http_proxy: address,
    };
    const sender = join(process.cwd(), 'dist/src/platform/outbound/post-message.js');
    const url = `http://127.0.0.1:${portOf(server)}/`;
    const run = promisify(execFile);
    const { stdout } = await run(process.execPath, ['-e', script, sender, url], { env: environment });
    expect(JSON.parse(stdout)).toMatchObject({ kind: 'answered', status: 200, body: 'ok' });
    expect(asked).toBe(0);
    // the proxy is one that such an environment leads to
    const other = `fetch(process.argv[1]).catch(() => undefined)`;
    await run(process.execPath, ['-e', other, url], { env: environment });
    expect(asked).toBeGreaterThan(0);
  } finally {
    proxy.close();
  }
});
