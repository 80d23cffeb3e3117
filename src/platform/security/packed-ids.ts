/**
 * The ids of an organisation and of a record in it as one text (base64url). They tell where to look a
 * credential up under row security, and prove nothing.
 */
export function packIds(organisationId: string, id: string): string {
  return Buffer.from((organisationId + id).replaceAll('-', ''), 'hex').toString('base64url');
}

/** @param packed 43 characters of base64url, as `packIds` makes them */
export function unpackIds(packed: string): { organisationId: string; id: string } {
  const ids = Buffer.from(packed, 'base64url').toString('hex');
  return { organisationId: uuidOf(ids.slice(0, 32)), id: uuidOf(ids.slice(32)) };
}

function uuidOf(hex: string): string {
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}
