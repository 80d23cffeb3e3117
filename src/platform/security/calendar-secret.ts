import { sha256 } from './api-key-token';
import { packIds, unpackIds } from './packed-ids';

// not pk_ or oc_, so that what opens a calendar cannot be taken for anything else
const CALENDAR_SECRET = /^cf_([A-Za-z0-9_-]{43})_([A-Za-z0-9_-]{43})$/;

/** The secret part of the address of a calendar: whose it is, and 256 random bits, which alone prove anything. */
export interface CalendarSecret {
  organisationId: string;
  feedId: string;
  secretSha256: Buffer;
}

export function formatCalendarSecret(organisationId: string, feedId: string, secret: string): string {
  return `cf_${packIds(organisationId, feedId)}_${secret}`;
}

/** Takes the secret part of an address apart, or answers null where the text cannot be one. */
export function parseCalendarSecret(text: string): CalendarSecret | null {
  const match = CALENDAR_SECRET.exec(text);
  if (match?.[1] === undefined || match[2] === undefined) return null;
  const { organisationId, id } = unpackIds(match[1]);
  return { organisationId, feedId: id, secretSha256: sha256(match[2]) };
}
