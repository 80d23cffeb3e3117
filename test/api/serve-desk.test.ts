import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { send } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';

const ASSETS = join(__dirname, '../../dist/desk/assets');

let test: TestApp;
beforeAll(async () => {
  test = await startTestApp();
});
afterAll(() => test.close());

const script = readdirSync(ASSETS).find((name) => /^index-.*\.js$/.test(name)) ?? '';

it.each(['/', '/desk'])('%s leads to the desk', async (path) => {
  const answer = await send(test, 'GET', path);
  expect([answer.status, answer.headers.location]).toEqual([302, '/desk/']);
});

it.each([
  '/desk/',
  '/desk/front-desk',
  '/desk/vehicles/019ac1f2-7a30-7b61-a0c3-5f1d0e6f2b11',
  '/desk/unknown',
])('%s answers the page that draws what the address says', async (path) => {
  const answer = await send(test, 'GET', path);
  expect(answer.status).toBe(200);
  expect(answer.headers['content-type']).toBe('text/html; charset=utf-8');
  expect(answer.headers['cache-control']).toBe('no-cache');
  expect(answer.text).toContain('<div id="desk"></div>');
});

it('takes scripts, styles and data from itself alone, and none that are written into the page', async () => {
  const { headers, text } = await send(test, 'GET', '/desk/');
  const policy = Object.fromEntries(
    (headers['content-security-policy'] ?? '').split('; ').map((each) => {
      const [name = '', ...sources] = each.split(' ');
      return [name, sources];
    }),
  );
  expect(policy['default-src']).toEqual([`'none'`]);
  for (const name of ['script-src', 'style-src', 'connect-src']) expect(policy[name]).toEqual([`'self'`]);
  expect(policy['frame-ancestors']).toEqual([`'none'`]);
  const worker = await send(test, 'GET', '/desk/service-worker.js');
  expect(worker.headers['content-security-policy']).toBe(headers['content-security-policy']);
  // the page itself keeps to it
  expect(text).not.toMatch(/<script(?![^>]* src=)/);
  expect(text).not.toMatch(/<style|style=|https?:/);
});

it('gives files out compressed, to be kept for good: their names change with their contents', async () => {
  const plain = await send(test, 'GET', `/desk/assets/${script}`, {
    headers: { 'accept-encoding': 'identity' },
  });
  const packed = await send(test, 'GET', `/desk/assets/${script}`, { headers: { 'accept-encoding': 'br' } });
  expect([plain.status, packed.status]).toEqual([200, 200]);
  expect(packed.headers['content-encoding']).toBe('br');
  expect(packed.headers['cache-control']).toBe('public, max-age=31536000, immutable');
  expect(Number(packed.headers['content-length'])).toBeLessThan(Number(plain.headers['content-length']) / 2);
});

it('tells a file that a later version has replaced from a page', async () => {
  const answer = await send(test, 'GET', '/desk/assets/index-00000000.js');
  expect([answer.status, answer.body.type]).toEqual([404, '/problems/not-found']);
});

it.each([
  '/desk/../package.json',
  '/desk/%2e%2e/package.json',
  '/desk/..%2fpackage.json',
  '/desk/assets/..%2f..%2f..%2fpackage.json',
])('gives nothing out that stands beside it: %s', async (path) => {
  const answer = await send(test, 'GET', path);
  expect(answer.text).not.toContain('"dependencies"');
});
