import createClient from 'openapi-fetch';
import { v4 as newKey } from 'uuid';
import type { components, paths } from '../generated/contract';
import { forPeople } from './for-people';
import { NotReached, ProblemError, type Problem } from './problem';

// lists come as CSV and JSON lines, too, to whoever asks for them
type Media = 'application/json' | 'application/problem+json';

export type Schemas = components['schemas'];

// a wrong password there says nothing about who is signed in
const SIGN_INS = ['/v1/sessions', '/v1/invitation-acceptances'];

type SignedOutListener = () => void;
const signedOutListeners = new Set<SignedOutListener>();

/** Calls back when an answer says that nobody is signed in any more; answers how to stop that. */
export function onSignedOut(listener: SignedOutListener): () => void {
  signedOutListeners.add(listener);
  return () => signedOutListeners.delete(listener);
}

/**
 * Sends a request as the one who is signed in. A POST gets an Idempotency-Key, so what got lost on the way is sent once
 * more without being done twice.
 *
 * @throws ProblemError when it was refused
 * @throws NotReached when there was no answer
 */
async function send(input: Request): Promise<Response> {
  if (input.method === 'POST' && !input.headers.has('idempotency-key'))
    input.headers.set('idempotency-key', newKey());
  const answer = await sendOnce(input.clone()).catch(() => sendOnce(input));
  aheadMs = serverTimeOf(answer) - Date.now();
  if (answer.ok || answer.status === 304) return answer;
  const problem = await problemOf(answer);
  if (answer.status === 401 && !SIGN_INS.includes(new URL(input.url).pathname))
    for (const listener of signedOutListeners) listener();
  throw new ProblemError(answer.status, problem);
}

/** by how much the clock of the service is ahead of this computer's, which may be set wrong */
let aheadMs = 0;

/** The moment by the clock of the service, to the second. */
export const serverNow = (): number => Date.now() + aheadMs;

function serverTimeOf(answer: Response): number {
  const date = answer.headers.get('date');
  return date === null ? Date.now() : Date.parse(date);
}

async function sendOnce(request: Request): Promise<Response> {
  try {
    return await fetch(request);
  } catch (error) {
    throw new NotReached(error);
  }
}

/** BCP 47; how whoever is signed in writes dates */
let writtenIn = 'en-GB';

/** From now on refusals tell their dates in this way. @param locale BCP 47 */
export function writeRefusalsIn(locale: string): void {
  writtenIn = locale;
}

async function problemOf(answer: Response): Promise<Problem> {
  if (answer.headers.get('content-type')?.startsWith('application/problem+json') === true)
    return forPeople((await answer.json()) as Problem, writtenIn);
  // a proxy on the way answers in its own words
  return {
    type: '/problems/unavailable',
    title: 'The service cannot be reached',
    status: answer.status,
    detail: `The answer was ${answer.status} ${answer.statusText}.`,
    remedy: 'Try again in a moment.',
    instance: new URL(answer.url).pathname,
    requestId: answer.headers.get('x-request-id') ?? '',
  };
}

/** The API with the paths, parameters, bodies and answers of its contract. Refusals are thrown: see `send`. */
export const api = createClient<paths, Media>({ credentials: 'same-origin', fetch: send });

/** What was answered. */
export async function answered<Data>(sent: Promise<{ data?: Data }>): Promise<Data> {
  const { data } = await sent;
  // an answer without a body is one as well
  return data as Data;
}

/** The header that says which state of a record a change is meant for. */
export function ifMatch({ revision }: { revision: number }): { 'If-Match': string } {
  return { 'If-Match': `"r${revision}"` };
}

/** Reads a list to its end; for lists that a person could read, so a thousand pages are a mistake. */
export async function everyItem<Item>(
  page: (cursor: string | undefined) => Promise<{ items: Item[]; next: string | null }>,
): Promise<Item[]> {
  const items: Item[] = [];
  let cursor: string | undefined;
  for (let pages = 0; pages < 1_000; pages++) {
    const answer = await page(cursor);
    items.push(...answer.items);
    if (answer.next === null) return items;
    cursor = answer.next;
  }
  throw new Error('a list did not end');
}

export { newKey };
