import { createHash } from 'node:crypto';
import { canonicalEntry, type StoredEntry } from '../../platform/audit/stored-entry';

/** A place in the chain with the hash of everything up to it. */
export interface Head {
  position: number;
  hash: Buffer;
}

/** Before the first entry. */
export const BEGINNING: Head = { position: 0, hash: Buffer.alloc(32) };

/** SHA-256 of the hash before and of the whole entry as canonical JSON in UTF-8. */
export function sealHash(previous: Buffer, entry: StoredEntry): Buffer {
  return createHash('sha256').update(previous).update(canonicalEntry(entry), 'utf8').digest();
}

/** The links that append entries to a chain. */
export function appendToChain(
  head: Head,
  entries: readonly StoredEntry[],
): { position: number; entryId: string; hash: Buffer }[] {
  let { position, hash } = head;
  return entries.map((entry) => {
    hash = sealHash(hash, entry);
    return { position: ++position, entryId: entry.id, hash };
  });
}
