import type { ErrorCode } from '../errors/error-codes';

export interface ProblemKind {
  status: number;
  title: string;
  /** what a caller can do about it; shown at `/problems/<code>` */
  remedy: string;
}

/** Exhaustive by type: a code without an answer does not compile. */
export const problemTable: Readonly<Record<ErrorCode, ProblemKind>> = {
  'malformed-request': {
    status: 400,
    title: 'The request cannot be read',
    remedy: 'Send well-formed JSON in UTF-8, and well-formed parameters.',
  },
  'authentication-required': {
    status: 401,
    title: 'A key, a token or a session is required',
    remedy:
      'Send an API key or an access token as "Authorization: Bearer <key or token>", or sign in with POST /v1/sessions.',
  },
  'key-not-valid': {
    status: 401,
    title: 'The key or client is not valid',
    remedy:
      'The key or client is unknown, revoked or expired. Ask an administrator of your organisation for a new one.',
  },
  'token-not-valid': {
    status: 401,
    title: 'The access token is not valid',
    remedy: 'Ask for a new one at POST /v1/oauth/token and repeat the request with it.',
  },
  'session-not-valid': {
    status: 401,
    title: 'The session has ended',
    remedy: 'Sign in again with POST /v1/sessions.',
  },
  'sign-in-refused': {
    status: 401,
    title: 'The address or the password is not right',
    remedy:
      'Check both. If the password is lost, ask an administrator of your organisation for another invitation.',
  },
  'invitation-not-valid': {
    status: 401,
    title: 'The invitation is not valid',
    remedy:
      'It is unknown, used, replaced or older than seven days. Ask an administrator of your organisation for another one.',
  },
  forbidden: {
    status: 403,
    title: 'Your role does not allow this',
    remedy: 'Use a key whose role is listed for this operation, or ask an administrator to do it.',
  },
  'insufficient-scope': {
    status: 403,
    title: 'The access token was asked for with less than this takes',
    remedy: 'Ask for a token with the scope that the contract lists for this operation.',
  },
  'request-from-elsewhere': {
    status: 403,
    title: 'Another site may have sent this',
    remedy:
      'Changes with a session are sent by pages of this service: "Sec-Fetch-Site: same-origin", or the Origin of this server. Programs use a key.',
  },
  'not-found': {
    status: 404,
    title: 'There is nothing here',
    remedy: 'Check the address and the id. Records of other organisations and fleets are not shown.',
  },
  'method-not-allowed': {
    status: 405,
    title: 'This address does not take that method',
    remedy: 'Use one of the methods in the Allow header.',
  },
  'not-acceptable': {
    status: 406,
    title: 'No acceptable representation',
    remedy: 'Accept the media type that the contract lists for this operation, usually application/json.',
  },
  'already-exists': {
    status: 409,
    title: 'A record with this key exists already',
    remedy: 'Use the existing record, or another key.',
  },
  'state-conflict': {
    status: 409,
    title: 'The record is in a state that does not allow this',
    remedy: 'Read the record again: the detail says which state it is in.',
  },
  'organisation-to-choose': {
    status: 409,
    title: 'Address and password fit more than one organisation',
    remedy: 'Sign in again with the id of one of "organisations" as organisationId.',
  },
  'slot-taken': {
    status: 409,
    title: 'The bay, a person or the vehicle is taken at that time',
    remedy: 'Take one of freeTimes, or look for others with POST /v1/free-times.',
  },
  'request-in-progress': {
    status: 409,
    title: 'The first request with this Idempotency-Key is still running',
    remedy: 'Wait for the time in Retry-After and send the same request again.',
  },
  'no-longer-kept': {
    status: 410,
    title: 'The changes after this cursor are no longer all kept',
    remedy:
      'Take a new cursor with GET /v1/changes?after=now, read everything again that you keep a copy of, and follow the new cursor from there.',
  },
  'stale-version': {
    status: 412,
    title: 'Somebody changed the record since you read it',
    remedy: 'Read it again, apply your change to what it says now, and send its new ETag as If-Match.',
  },
  'payload-too-large': {
    status: 413,
    title: 'The body is too large',
    remedy: 'Split it, or use a file import.',
  },
  'unsupported-media-type': {
    status: 415,
    title: 'This media type is not read here',
    remedy: 'Send the media type that the contract lists for this operation.',
  },
  'validation-failed': {
    status: 422,
    title: 'Some fields are not acceptable',
    remedy: 'Each entry of "errors" names the field, what is wrong with it, and what would be accepted.',
  },
  'contradictory-layout': {
    status: 422,
    title: 'The recorded facts of the layout contradict each other',
    remedy:
      'Look at the vehicle again and correct the facts named in "errors", or record them as unverified.',
  },
  'idempotency-key-reused': {
    status: 422,
    title: 'This Idempotency-Key was used for a different request',
    remedy: 'Use a new key for each new request; repeat a key only with the same request.',
  },
  'precondition-required': {
    status: 428,
    title: 'If-Match is required',
    remedy:
      'Read the record and send its ETag as If-Match, so that nobody overwrites what they have not seen.',
  },
  'too-many-requests': {
    status: 429,
    title: 'Too many requests',
    remedy: 'Wait for the time in Retry-After.',
  },
  'internal-error': {
    status: 500,
    title: 'Something went wrong on our side',
    remedy:
      'Repeat the request with the same Idempotency-Key. If it stays, give the request id to whoever runs the server.',
  },
  unavailable: {
    status: 503,
    title: 'The service cannot reach its database',
    remedy: 'Repeat the request after the time in Retry-After, a POST with the same Idempotency-Key.',
  },
};
