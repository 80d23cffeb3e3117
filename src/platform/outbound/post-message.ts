import { request as httpRequest, type IncomingMessage } from 'node:http';
import { request as httpsRequest } from 'node:https';
import { isIP, type Socket } from 'node:net';
import { connect as connectTls } from 'node:tls';
import { judgedAddresses, machineNetwork, RefusedAddress, type Network } from './outbound-network';
import { targetFault, targetOf, type OutboundRules, type Target } from './outbound-target';

export interface OutboundMessage {
  url: string;
  headers: Readonly<Record<string, string>>;
  body: string;
}

export interface PostSettings {
  rules: OutboundRules;
  /** from looking the name up to the last byte of the answer */
  timeoutMs: number;
  /** of an answer no more is read than this */
  answerLimitBytes: number;
  network?: Network;
  /** gives the message up; what became of it is not known then */
  signal?: AbortSignal;
  /** certificates to trust beside those of the platform */
  ca?: string;
}

/** What came of sending a message. */
export type PostOutcome =
  | {
      kind: 'answered';
      status: number;
      retryAfter: string | null;
      /** the beginning of the body as text */
      body: string;
      durationMs: number;
    }
  | { kind: 'failed'; failure: PostFailure; detail: string; durationMs: number };

export const postFailures = [
  'refused-address',
  'unknown-host',
  'no-connection',
  'bad-certificate',
  'timeout',
  'cut',
] as const;

export type PostFailure = (typeof postFailures)[number];

/**
 * Sends one message over a connection of its own. No redirect is followed, no connection reused, no proxy asked
 * (proxies of the environment concern the agents of the platform, and none is used), no address reached that the
 * rules do not allow.
 *
 * @throws only when `signal` gave it up
 */
export async function postMessage(message: OutboundMessage, settings: PostSettings): Promise<PostOutcome> {
  const started = performance.now();
  const durationMs = (): number => Math.round(performance.now() - started);
  const deadline = AbortSignal.timeout(settings.timeoutMs);
  const signal = settings.signal === undefined ? deadline : AbortSignal.any([deadline, settings.signal]);
  try {
    const answer = await exchange(message, settings, signal);
    return { kind: 'answered', ...answer, durationMs: durationMs() };
  } catch (error) {
    if (settings.signal?.aborted === true) throw error;
    if (deadline.aborted) {
      const detail = `no whole answer within ${settings.timeoutMs / 1000} seconds`;
      return { kind: 'failed', failure: 'timeout', detail, durationMs: durationMs() };
    }
    const { message: text, code } = error as NodeJS.ErrnoException;
    // what gathers the errors of several addresses has a code and no message
    const detail = text === '' ? (code ?? 'no reason given') : text;
    return { kind: 'failed', failure: failureOf(error), detail, durationMs: durationMs() };
  }
}

interface Answer {
  status: number;
  retryAfter: string | null;
  body: string;
}

async function exchange(
  message: OutboundMessage,
  settings: PostSettings,
  signal: AbortSignal,
): Promise<Answer> {
  const { rules, network = machineNetwork } = settings;
  // the rules may have become narrower since the address was recorded
  const fault = targetFault(message.url, rules);
  if (fault !== null) throw new RefusedAddress(fault.detail);
  const target = targetOf(message.url);
  const addresses = await unlessAborted(signal, judgedAddresses(network, target.host, rules));
  const dial = (): Socket => network.dial(target.host, target.port, addresses);
  const response = await responseTo(message, target, dial, settings, signal);
  const body = await beginningOf(response, settings.answerLimitBytes);
  return { status: response.statusCode ?? 0, retryAfter: response.headers['retry-after'] ?? null, body };
}

function responseTo(
  { url, headers, body }: OutboundMessage,
  { secure, host }: Target,
  dial: () => Socket,
  { ca }: PostSettings,
  signal: AbortSignal,
): Promise<IncomingMessage> {
  const wrapped = (): Socket =>
    connectTls({ socket: dial(), host, ...(isIP(host) === 0 ? { servername: host } : {}), ca });
  return new Promise((resolve, reject) => {
    const request = (secure ? httpsRequest : httpRequest)(url, {
      method: 'POST',
      headers: { ...headers, 'content-length': String(Buffer.byteLength(body)) },
      // a connection that is made here belongs to no agent: it is neither kept nor taken from others
      createConnection: secure ? wrapped : dial,
      signal,
    });
    request.once('response', resolve);
    // also after the answer has begun: the reading of it fails then, and tells
    request.on('error', reject);
    request.end(body);
  });
}

async function beginningOf(response: IncomingMessage, limitBytes: number): Promise<string> {
  const chunks: Buffer[] = [];
  let size = 0;
  for await (const chunk of response as AsyncIterable<Buffer>) {
    chunks.push(chunk);
    size += chunk.length;
    // leaving the loop closes the connection: the rest is of no interest
    if (size >= limitBytes) break;
  }
  return Buffer.concat(chunks).subarray(0, limitBytes).toString('utf8');
}

function unlessAborted<T>(signal: AbortSignal, work: Promise<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    const abort = (): void => reject(signal.reason as Error);
    if (signal.aborted) abort();
    signal.addEventListener('abort', abort, { once: true });
    work.then(resolve, reject).finally(() => signal.removeEventListener('abort', abort));
  });
}

const CODES: readonly [PostFailure, RegExp][] = [
  ['unknown-host', /^(ENOTFOUND|ENODATA|EAI_)/],
  ['no-connection', /^(ECONNREFUSED|EHOSTUNREACH|ENETUNREACH|EADDRNOTAVAIL|ETIMEDOUT)$/],
  ['bad-certificate', /CERT|SELF_SIGNED|^(ERR_TLS|ERR_SSL|UNABLE_TO_)/],
];

function failureOf(error: unknown): PostFailure {
  if (error instanceof RefusedAddress) return 'refused-address';
  const { code = '' } = error as NodeJS.ErrnoException;
  return CODES.find(([, pattern]) => pattern.test(code))?.[0] ?? 'cut';
}
