import { createHash } from 'node:crypto';
import type { DueItem } from '../../core/due/due-item';

/** A due item to store, with the place that it belongs to. */
export interface DueItemOfVehicle {
  vehicleId: string;
  fleetId: string;
  depotId: string;
  item: DueItem;
}

/** The same with its parts as the texts that are stored. */
export interface ItemText extends DueItemOfVehicle {
  details: string;
  reasoning: string;
}

/** A stored item, as far as a comparison needs it. */
export interface StoredVersion {
  id: string;
  vehicleId: string;
  itemKey: string;
  digest: string;
}

export interface ItemChanges {
  added: ItemText[];
  /** An item that stays keeps its id. */
  changed: (ItemText & { id: string })[];
  goneIds: string[];
}

/** What has to be written so that the stored items equal the computed ones; nothing for what is equal already. */
export function itemChanges(
  computed: readonly DueItemOfVehicle[],
  stored: readonly StoredVersion[],
): ItemChanges {
  const known = new Map(stored.map((version) => [`${version.vehicleId} ${version.itemKey}`, version]));
  const changes: ItemChanges = { added: [], changed: [], goneIds: [] };
  for (const one of computed) {
    const { reasoning, ...details } = one.item;
    const text: ItemText = { ...one, details: JSON.stringify(details), reasoning: JSON.stringify(reasoning) };
    const place = `${one.vehicleId} ${one.item.key}`;
    const version = known.get(place);
    known.delete(place);
    if (version === undefined) changes.added.push(text);
    else if (version.digest !== digestOf(text)) changes.changed.push({ ...text, id: version.id });
  }
  changes.goneIds = [...known.values()].map(({ id }) => id);
  return changes;
}

// the repository has the database make the same of what is stored
function digestOf({ depotId, details, reasoning }: ItemText): string {
  return createHash('sha256')
    .update(depotId + details + reasoning)
    .digest('base64');
}
