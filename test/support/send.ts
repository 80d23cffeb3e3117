import type { InjectOptions } from 'fastify';
import { SESSION_COOKIE } from '../../src/platform/security/session-cookie';
import type { TestApp } from './test-app';

export interface Sent {
  status: number;
  headers: Record<string, string | undefined>;
  text: string;
  /** the body as JSON, null where it is none */
  body: Record<string, unknown>;
}

export interface Message {
  /** a key or token, or the token of a session, which is sent as a page of the service would */
  key?: string;
  headers?: Record<string, string>;
  /** sent as JSON; a text is sent as it is */
  body?: unknown;
}

function credentialOf(key: string | undefined): Record<string, string> {
  if (key === undefined) return {};
  return key.startsWith('ps_')
    ? { cookie: `${SESSION_COOKIE}=${key}`, 'sec-fetch-site': 'same-origin' }
    : { authorization: `Bearer ${key}` };
}

/** Hands one request to the application without a socket: thousands of them take seconds. */
export async function send(
  test: TestApp,
  method: string,
  url: string,
  { key, headers = {}, body }: Message = {},
): Promise<Sent> {
  const fastify = test.app.getHttpAdapter().getInstance();
  const request: InjectOptions = {
    method,
    url,
    headers: {
      ...credentialOf(key),
      ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      ...headers,
    },
  };
  if (body !== undefined) request.payload = typeof body === 'string' ? body : JSON.stringify(body);
  const answer = await fastify.inject(request);
  const type = answer.headers['content-type']?.toString() ?? '';
  return {
    status: answer.statusCode,
    headers: Object.fromEntries(
      Object.entries(answer.headers).map(([name, value]) => [name, value?.toString()]),
    ),
    text: answer.body,
    body: (/[/+]json/.test(type) && answer.body !== '' ? answer.json() : null) as Record<string, unknown>,
  };
}
