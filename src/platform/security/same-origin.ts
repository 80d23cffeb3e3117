import type { FastifyRequest } from 'fastify';
import { CodedError } from '../errors/coded-error';
import { scopeOfMethod } from './scope';

/**
 * Refuses a change that carries a session's cookie and was not sent by a page of this service: browsers send the cookie
 * along with what other sites make them send (Fetch Metadata: W3C; Origin: RFC 6454, section 7).
 *
 * @throws CodedError `request-from-elsewhere`
 */
export function refuseFromElsewhere(request: FastifyRequest, publicUrl: string): void {
  if (scopeOfMethod(request.method) === 'read') return;
  const site = request.headers['sec-fetch-site'];
  if (site === 'same-origin') return;
  if (site === undefined && isOwnOrigin(request, publicUrl)) return;
  throw new CodedError(
    'request-from-elsewhere',
    'This change carries the cookie of a session, and does not say that a page of this service sent it.',
  );
}

/**
 * Refuses to sign a browser in for another site's page, which could sign it in as somebody else. Programs say nothing of
 * sites.
 *
 * @throws CodedError `request-from-elsewhere`
 */
export function refuseSignInFromElsewhere({ headers }: FastifyRequest): void {
  const site = headers['sec-fetch-site'];
  if (site === undefined || site === 'same-origin' || site === 'none') return;
  throw new CodedError('request-from-elsewhere', 'A page of another site has sent this.');
}

function isOwnOrigin({ headers: { origin }, host }: FastifyRequest, publicUrl: string): boolean {
  if (origin === undefined || !URL.canParse(origin)) return false;
  return new URL(origin).host === host || origin === publicUrl;
}
