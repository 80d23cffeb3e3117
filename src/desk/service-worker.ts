/*
 * Keeps the desk itself (the page, its scripts and styles; no answers of the API) so that it opens without a connection.
 * What was entered meanwhile is kept by the pages: see `session/kept-on-device.ts`.
 *
 * Without imports: the browser takes it as one plain script, which `vite.config.mts` makes of it.
 *
 * - The page: from the network, and from here when that does not answer in time.
 * - Assets: from here once they are here; their names carry a digest, so they never change. Pages tell which ones they
 *   loaded before this worker was there. A new version of the page throws the assets of the old one away.
 */

interface LifeEvent extends Event {
  waitUntil(done: Promise<unknown>): void;
}
interface FetchEvent extends LifeEvent {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}
interface DeskWorker {
  readonly location: Location;
  readonly clients: { claim(): Promise<void> };
  skipWaiting(): Promise<void>;
  addEventListener(kind: 'install' | 'activate', listener: (event: LifeEvent) => void): void;
  addEventListener(kind: 'fetch', listener: (event: FetchEvent) => void): void;
  addEventListener(kind: 'message', listener: (event: LifeEvent & { data: unknown }) => void): void;
}

const worker = self as unknown as DeskWorker;
const HOME = new URL('./', worker.location.href).pathname;
const ASSETS = `${HOME}assets/`;
const CACHE = 'precharge-desk';
/** a connection that says nothing for so long is none */
const PATIENCE_MS = 5_000;

worker.addEventListener('install', (event) => {
  event.waitUntil(Promise.all([worker.skipWaiting(), pageFromNetwork()]));
});

worker.addEventListener('activate', (event) => event.waitUntil(worker.clients.claim()));

worker.addEventListener('message', (event) => {
  if (!Array.isArray(event.data)) return;
  const assets = event.data.filter((path) => typeof path === 'string' && path.startsWith(ASSETS));
  event.waitUntil(Promise.all(assets.map((path: string) => asset(new Request(path)))));
});

worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== worker.location.origin) return;
  if (pathname.startsWith(ASSETS)) event.respondWith(asset(request));
  else if (request.mode === 'navigate' && pathname.startsWith(HOME)) event.respondWith(page());
});

async function page(): Promise<Response> {
  try {
    return await pageFromNetwork();
  } catch (error) {
    const kept = await (await caches.open(CACHE)).match(HOME);
    if (kept === undefined) throw error;
    return kept;
  }
}

async function pageFromNetwork(): Promise<Response> {
  const answer = await fetch(HOME, { cache: 'no-cache', signal: AbortSignal.timeout(PATIENCE_MS) });
  // out of order: the kept page can at least say so
  if (!answer.ok) throw new Error(`the page was answered with ${answer.status}`);
  const [now, kept] = await Promise.all([answer.clone().text(), keptPage()]);
  if (now !== kept) {
    await caches.delete(CACHE);
    await (await caches.open(CACHE)).put(HOME, answer.clone());
  }
  return answer;
}

async function keptPage(): Promise<string | null> {
  const kept = await (await caches.open(CACHE)).match(HOME);
  return kept === undefined ? null : kept.text();
}

async function asset(request: Request): Promise<Response> {
  const cache = await caches.open(CACHE);
  const kept = await cache.match(request);
  if (kept !== undefined) return kept;
  const answer = await fetch(request);
  if (answer.ok) await cache.put(request, answer.clone());
  return answer;
}
