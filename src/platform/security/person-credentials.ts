import { sha256 } from './api-key-token';
import { packIds, unpackIds } from './packed-ids';

// each begins in its own way, so that one cannot be taken for another, nor for a key
const SESSION_TOKEN = /^ps_([A-Za-z0-9_-]{43})_([A-Za-z0-9_-]{43})$/;
const INVITATION = /^pi_([A-Za-z0-9_-]{43})_([A-Za-z0-9_-]{43})$/;

/** What the cookie of a session or an invitation says: whose it is, and 256 random bits, which alone prove anything. */
export interface PersonCredential {
  organisationId: string;
  /** of the session, or of the invited person */
  id: string;
  secretSha256: Buffer;
}

export function formatSessionToken(organisationId: string, sessionId: string, secret: string): string {
  return `ps_${packIds(organisationId, sessionId)}_${secret}`;
}

/** Takes a session's token apart, or answers null where the text cannot be one. */
export function parseSessionToken(text: string): PersonCredential | null {
  return parsed(SESSION_TOKEN, text);
}

export function formatInvitation(organisationId: string, personId: string, secret: string): string {
  return `pi_${packIds(organisationId, personId)}_${secret}`;
}

/** Takes an invitation apart, or answers null where the text cannot be one. */
export function parseInvitation(text: string): PersonCredential | null {
  return parsed(INVITATION, text);
}

function parsed(form: RegExp, text: string): PersonCredential | null {
  const [, ids, secret] = form.exec(text) ?? [];
  return ids === undefined || secret === undefined
    ? null
    : { ...unpackIds(ids), secretSha256: sha256(secret) };
}
