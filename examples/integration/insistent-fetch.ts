import { randomUUID } from 'node:crypto';
import { setTimeout as sleep } from 'node:timers/promises';
import { AccessToken } from './access-token.ts';

/** What came in the way of requests that were answered in the end. */
export interface Troubles {
  /** connections that were refused, or broke before the whole answer was there */
  connections: number;
  /** 429: the allowance of the minute was used up */
  throttled: number;
  /** 503, or the first request with the same Idempotency-Key was still running */
  busy: number;
}

const TRIES = 100;

/**
 * Sends a request until it is answered for good. That is safe for each: a GET changes nothing, a change carries If-Match
 * and is made once, and every POST gets an Idempotency-Key here, by which the server knows a repetition.
 */
export function insistentFetch(token: AccessToken): { fetch: typeof fetch; troubles: Troubles } {
  const troubles: Troubles = { connections: 0, throttled: 0, busy: 0 };
  const insist = async (input: Parameters<typeof fetch>[0], init?: RequestInit): Promise<Response> => {
    const request = new Request(input, init);
    if (request.method === 'POST' && !request.headers.has('idempotency-key'))
      request.headers.set('idempotency-key', randomUUID());
    for (let attempt = 1; ; attempt++) {
      const answer = await attemptOf(request, token);
      if (answer === null) troubles.connections += 1;
      else if (answer.status === 429) troubles.throttled += 1;
      else if (answer.status === 503 || (await isStillRunning(answer))) troubles.busy += 1;
      else if (!(await isOldToken(answer))) return answer;
      if (attempt === TRIES) throw new Error(`${request.method} ${request.url} was not answered`);
      const told = Number(answer?.headers.get('retry-after') ?? Number.NaN);
      // as long as the answer says; without one a little longer each time, at most five seconds
      await sleep(Number.isFinite(told) ? told * 1_000 : Math.min(100 * attempt, 5_000));
    }
  };
  return { fetch: insist, troubles };
}

async function attemptOf(request: Request, token: AccessToken): Promise<Response | null> {
  try {
    const text = await token.text();
    const attempt = request.clone();
    attempt.headers.set('authorization', `Bearer ${text}`);
    const response = await fetch(attempt);
    // read to its end here, so that what breaks within the answer is sent for again, too
    const body = await response.arrayBuffer();
    if (response.status === 401) token.refused(text);
    const { status, headers } = response;
    return new Response([204, 304].includes(status) ? null : body, { status, headers });
  } catch (error) {
    // fetch throws TypeError for whatever happens to a connection
    if (error instanceof TypeError) return null;
    throw error;
  }
}

async function problemOf(answer: Response): Promise<string | null> {
  if (answer.headers.get('content-type')?.startsWith('application/problem+json') !== true) return null;
  return ((await answer.clone().json()) as { type: string }).type;
}

const isStillRunning = async (answer: Response): Promise<boolean> =>
  answer.status === 409 && (await problemOf(answer)) === '/problems/request-in-progress';

const isOldToken = async (answer: Response): Promise<boolean> =>
  answer.status === 401 && (await problemOf(answer)) === '/problems/token-not-valid';
