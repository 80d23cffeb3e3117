import { SESSION_LASTS_AT_MOST_MS } from './session-rules';

/** Name of the cookie without TLS; with it, browsers enforce by the prefix what `Secure` and `Path=/` promise. */
export const SESSION_COOKIE = 'precharge_session';
const HOST_PREFIX = '__Host-';

const isSecure = (publicUrl: string): boolean => publicUrl.startsWith('https:');

export const sessionCookieName = (publicUrl: string): string =>
  isSecure(publicUrl) ? `${HOST_PREFIX}${SESSION_COOKIE}` : SESSION_COOKIE;

/** Set-Cookie (RFC 6265, section 4.1; prefix and SameSite: draft-ietf-httpbis-rfc6265bis). */
export function sessionCookie(publicUrl: string, token: string): string {
  return cookie(publicUrl, token, Math.floor(SESSION_LASTS_AT_MOST_MS / 1_000));
}

/** Takes the cookie away from the browser. */
export function clearedSessionCookie(publicUrl: string): string {
  return cookie(publicUrl, '', 0);
}

/** The session's token in a Cookie header; null where there is none, or more than one and no way to tell which. */
export function sessionTokenIn(header: string | undefined, publicUrl: string): string | null {
  const prefix = `${sessionCookieName(publicUrl)}=`;
  const found = (header ?? '')
    .split(';')
    .map((each) => each.trim())
    .filter((each) => each.startsWith(prefix))
    .map((each) => each.slice(prefix.length));
  const [token] = found;
  return found.length !== 1 || token === undefined || token === '' ? null : token;
}

function cookie(publicUrl: string, value: string, maxAgeSeconds: number): string {
  return [
    `${sessionCookieName(publicUrl)}=${value}`,
    'Path=/',
    `Max-Age=${maxAgeSeconds}`,
    'HttpOnly',
    'SameSite=Strict',
    ...(isSecure(publicUrl) ? ['Secure'] : []),
  ].join('; ');
}
