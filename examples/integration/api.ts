import createClient from 'openapi-fetch';
import { AccessToken } from './access-token.ts';
import type { components, paths } from './generated/contract.d.ts';
import { insistentFetch } from './insistent-fetch.ts';

// lists come as CSV and JSON lines, too, to whoever asks for them
type Media = 'application/json' | 'application/problem+json';

export type Schemas = components['schemas'];

/** A client whose paths, parameters, bodies and answers are those of the contract. */
export function connect(server: string, clientId: string, clientSecret: string) {
  const { fetch, troubles } = insistentFetch(new AccessToken(server, clientId, clientSecret));
  return { api: createClient<paths, Media>({ baseUrl: server, fetch }), troubles };
}

export type Api = ReturnType<typeof connect>['api'];

/** What was answered, or an error that says what the problem document says. */
export function expectData<Data>({ data, error }: { data?: Data; error?: unknown }): Data {
  if (data === undefined) throw new Error(`refused: ${JSON.stringify(error)}`);
  return data;
}
