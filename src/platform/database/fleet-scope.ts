import { CodedError } from '../errors/coded-error';
import type { Tx } from './transactions';

/**
 * Refuses a key that is limited to some fleets what concerns the whole organisation.
 *
 * @param concern what is to be done and whom it concerns, as the end of a sentence
 * @throws CodedError `forbidden`
 */
export async function refuseKeyOfSomeFleets(tx: Tx, concern: string): Promise<void> {
  const [row] = await tx.query<[{ limited: boolean }]>(`SELECT app.fleet_ids() IS NOT NULL AS limited`);
  if (row.limited) throw new CodedError('forbidden', `Your key sees some fleets only; ${concern}.`);
}

/**
 * Refuses a key that is limited to some workshops what would show it those of others.
 *
 * @param concern what is to be done and whom it concerns, as the end of a sentence
 * @throws CodedError `forbidden`
 */
export async function refuseKeyOfSomeWorkshops(tx: Tx, concern: string): Promise<void> {
  const [row] = await tx.query<[{ limited: boolean }]>(`SELECT app.workshop_ids() IS NOT NULL AS limited`);
  if (row.limited) throw new CodedError('forbidden', `Your key sees some workshops only; ${concern}.`);
}
