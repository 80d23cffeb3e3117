const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

/** A session that nobody uses ends after so long. */
export const SESSION_IDLE_MS = 12 * HOUR_MS;
/** A session ends after so long, however much it is used. */
export const SESSION_LASTS_AT_MOST_MS = 14 * DAY_MS;
/** Its use is noted so often, not with every request. */
export const SESSION_USE_NOTED_EVERY_MS = 5 * MINUTE_MS;
/** So many browsers can be signed in as one person; the next ends the oldest. */
export const MOST_SESSIONS = 20;
/** An invitation that nobody accepts ends after so long. */
export const INVITATION_LASTS_MS = 7 * DAY_MS;
