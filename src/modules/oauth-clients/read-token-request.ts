import { OAuthError } from '../../platform/http/oauth-error';

/** A request for a token by client credentials (RFC 6749, section 4.4.2). */
export interface TokenRequest {
  clientId: string;
  clientSecret: string;
  /** what the token is wanted for; null is all that the client has */
  scope: string | null;
}

/** no id, secret or list of scopes is as long */
export const LONGEST_FIELD = 200;

/**
 * Reads the form and the Authorization header of a token request. Fields that are empty count as left out, and
 * fields that nobody knows are ignored (RFC 6749, section 3.2).
 *
 * @throws OAuthError
 */
export function readTokenRequest(authorization: string | undefined, form: URLSearchParams): TokenRequest {
  const field = (name: string): string | null => {
    const values = form.getAll(name);
    if (values.length > 1) throw new OAuthError('invalid_request', `${name} is there more than once.`);
    const [value = ''] = values;
    if (value.length > LONGEST_FIELD) throw new OAuthError('invalid_request', `${name} is too long.`);
    return value === '' ? null : value;
  };
  const grantType = field('grant_type');
  if (grantType === null) throw new OAuthError('invalid_request', 'grant_type is missing.');
  if (grantType !== 'client_credentials') {
    throw new OAuthError('unsupported_grant_type', 'Only client_credentials is granted here.');
  }
  const scope = field('scope');
  const clientId = field('client_id');
  const clientSecret = field('client_secret');
  if (authorization === undefined) {
    if (clientId === null || clientSecret === null) {
      throw new OAuthError('invalid_client', 'The client does not say who it is and prove it.');
    }
    return { clientId, clientSecret, scope };
  }
  // section 2.3: a client uses one way of signing in
  if (clientSecret !== null) {
    throw new OAuthError('invalid_request', 'Send client_secret in the form or as HTTP Basic, not both.');
  }
  const basic = readBasic(authorization);
  if (clientId !== null && clientId !== basic.clientId) {
    throw new OAuthError('invalid_request', 'client_id is not the client of the Authorization header.');
  }
  return { ...basic, scope };
}

/** HTTP Basic (RFC 7617), its two parts encoded as in a form first (RFC 6749, section 2.3.1). */
function readBasic(authorization: string): Pick<TokenRequest, 'clientId' | 'clientSecret'> {
  const [, encoded] = /^basic +([A-Za-z0-9+/]+={0,2})$/i.exec(authorization) ?? [];
  const text = Buffer.from(encoded ?? '', 'base64').toString('utf8');
  const [, clientId, clientSecret] = /^([^:]+):(.+)$/s.exec(text) ?? [];
  if (clientId === undefined || clientSecret === undefined) {
    throw new OAuthError('invalid_client', 'The Authorization header is no HTTP Basic with id and secret.');
  }
  return { clientId: formDecoded(clientId), clientSecret: formDecoded(clientSecret) };
}

const formDecoded = (text: string): string =>
  new URLSearchParams(`v=${text.replaceAll('&', '%26')}`).get('v') ?? '';
