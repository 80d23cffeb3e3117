import { send, type Sent } from './send';
import type { TestApp } from './test-app';

/** An OAuth client as its holder knows it. */
export interface HeldClient {
  id: string;
  clientId: string;
  clientSecret: string;
}

/** Asks the token endpoint for a token, with the secret in the form unless the request says otherwise. */
export function askToken(
  test: TestApp,
  form: Record<string, string> | string,
  headers: Record<string, string> = {},
): Promise<Sent> {
  return send(test, 'POST', '/v1/oauth/token', {
    headers: { 'content-type': 'application/x-www-form-urlencoded', ...headers },
    body: typeof form === 'string' ? form : new URLSearchParams(form).toString(),
  });
}

export const formOf = ({ clientId, clientSecret }: HeldClient, scope?: string): Record<string, string> => ({
  grant_type: 'client_credentials',
  client_id: clientId,
  client_secret: clientSecret,
  ...(scope === undefined ? {} : { scope }),
});

/** A token of a client, good for all that it has unless the scope says less. */
export async function tokenOf(test: TestApp, client: HeldClient, scope?: string): Promise<string> {
  const { status, body, text } = await askToken(test, formOf(client, scope));
  if (status !== 200) throw new Error(`no token: ${status} ${text}`);
  return String(body.access_token);
}
