import { bodyError, CodedError } from '../errors/coded-error';
import type { Tx } from './transactions';

/** The fleets and the workshops that a key or client sees; null is all of them. */
export interface AccessLimits {
  fleetIds: string[] | null;
  workshopIds: string[] | null;
}

/**
 * Row security knows no scope of a key or client. Who is limited to fleets or workshops must not reach one that
 * sees more.
 */
export const withinOwnLimits = (alias: string): string =>
  `(app.fleet_ids() IS NULL OR ${alias}.fleetIds <@ app.fleet_ids())
    AND (app.workshop_ids() IS NULL OR ${alias}.workshopIds <@ app.workshop_ids())`;

/** What the key or client of this transaction is limited to. */
export async function ownLimits(tx: Tx): Promise<AccessLimits> {
  const [limits] = await tx.query<[AccessLimits]>(
    `SELECT app.fleet_ids() AS "fleetIds", app.workshop_ids() AS "workshopIds"`,
  );
  return limits;
}

/** Refuses limits that are wider than the caller's own, or name what the caller does not see. */
export async function checkAccessLimits(tx: Tx, { fleetIds, workshopIds }: AccessLimits): Promise<void> {
  const [own] = await tx.query<[{ fleets: boolean; workshops: boolean }]>(
    `SELECT app.fleet_ids() IS NOT NULL AS fleets, app.workshop_ids() IS NOT NULL AS workshops`,
  );
  if (fleetIds === null && own.fleets) throw widerThanYours('fleetIds', 'fleets');
  if (workshopIds === null && own.workshops) throw widerThanYours('workshopIds', 'workshops');
  await checkKnown(tx, 'fleetIds', 'fleets', fleetIds);
  await checkKnown(tx, 'workshopIds', 'workshops', workshopIds);
}

async function checkKnown(
  tx: Tx,
  field: keyof AccessLimits,
  table: 'fleets' | 'workshops',
  ids: string[] | null,
): Promise<void> {
  if (ids === null) return;
  const rows = await tx.query<{ id: string }[]>(`SELECT id FROM ${table} WHERE id = ANY ($1::uuid[])`, [ids]);
  const known = new Set(rows.map(({ id }) => id));
  const unknown = ids.filter((id) => !known.has(id));
  if (unknown.length === 0) return;
  throw new CodedError(
    'validation-failed',
    `Access can only be limited to ${table} that there are.`,
    unknown.map((id) => ({
      pointer: `#/${field}`,
      detail: `there is no ${table.slice(0, -1)} ${id}`,
      remedy: `give ids of ${table} that you see, or leave the field out`,
    })),
  );
}

function widerThanYours(field: keyof AccessLimits, what: 'fleets' | 'workshops'): CodedError {
  return bodyError(
    `#/${field}`,
    `You are limited to some ${what} yourself, so you cannot open all of them to others.`,
    `name some of your ${what}`,
  );
}
