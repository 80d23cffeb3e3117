// Access tokens are JWTs (RFC 9068), held to the rules of RFC 8725: one algorithm, an explicit type, an issuer and
// an audience, and a key that only the key id of this service chooses.

export const SIGNING_ALGORITHM = 'ES256';
export const TOKEN_TYPE = 'at+jwt';
export const TOKEN_LIFETIME_SECONDS = 600;
/** by how much the clocks of two processes may differ */
export const LEEWAY_SECONDS = 30;
/** how long after its making a token can still be accepted */
export const LATEST_USE_MS = (TOKEN_LIFETIME_SECONDS + LEEWAY_SECONDS) * 1_000;
