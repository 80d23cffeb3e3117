import { packIds, unpackIds } from './packed-ids';

// not pk_, so that a client cannot be taken for a key
const CLIENT_ID = /^oc_([A-Za-z0-9_-]{43})$/;

/** What an OAuth client calls itself: its organisation and its id, which are no secret. */
export function formatClientId(organisationId: string, id: string): string {
  return `oc_${packIds(organisationId, id)}`;
}

/** Takes a client id apart, or answers null where the text cannot be one. */
export function parseClientId(text: string): { organisationId: string; id: string } | null {
  const packed = CLIENT_ID.exec(text)?.[1];
  return packed === undefined ? null : unpackIds(packed);
}
