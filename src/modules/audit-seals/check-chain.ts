import { sealHash, type Head } from './audit-chain';
import type { LogPlace, SealedEntry } from './audit-seals.repository';

export const FAULT_KINDS = [
  'altered',
  'removed',
  'inserted',
  'reordered',
  'seal-altered',
  'seal-removed',
  'rewritten',
  'truncated',
] as const;

export type FaultKind = (typeof FAULT_KINDS)[number];

/** The first place at which a chain is not what it was. */
export interface ChainFault {
  kind: FaultKind;
  /** null for an entry without a seal */
  position: number | null;
  /** null where only a seal or a head tells */
  entryId: string | null;
  detail: string;
}

/** A link that was found in order: its entry, and the hash before it. */
interface PassedLink {
  before: Head;
  entryId: string;
}

const KEPT_LINKS = 64;

/** Goes along a chain, link by link, up to the first fault. */
export class ChainWalk {
  private passed: PassedLink[] = [];

  constructor(
    /** up to where it is in order */
    public head: Head,
    public place: LogPlace | null,
    private readonly notedHeads: readonly Head[],
  ) {}

  /**
   * Takes the next link.
   *
   * @param next the link after it, where there is one, which tells some faults apart
   */
  step(seal: SealedEntry, next: SealedEntry | undefined): ChainFault | null {
    const fault = this.faultOf(seal, next) ?? this.againstNotedHeads(seal);
    if (fault !== null) return fault;
    this.passed = [...this.passed.slice(1 - KEPT_LINKS), { before: this.head, entryId: seal.entryId }];
    this.head = { position: seal.position, hash: seal.hash };
    this.place = placeOf(seal);
    return null;
  }

  /** What is wrong with where the chain ends, after its last link. */
  end(): ChainFault | null {
    const { position } = this.head;
    const beyond = this.notedHeads.filter((head) => head.position > position).sort(byPosition)[0];
    return beyond === undefined ? null : truncated(position, beyond);
  }

  private faultOf(seal: SealedEntry, next: SealedEntry | undefined): ChainFault | null {
    const { position, entryId, entry } = seal;
    const expected = this.head.position + 1;
    if (position !== expected)
      return {
        kind: 'seal-removed',
        position: expected,
        entryId: null,
        detail: `The seal at position ${expected} is gone.`,
      };
    if (entry === null)
      return {
        kind: 'removed',
        position,
        entryId,
        detail: `Entry ${entryId}, sealed at position ${position}, is gone.`,
      };
    const hash = sealHash(this.head.hash, entry);
    const inPlace = isAfter(placeOf(seal), this.place);
    if (hash.equals(seal.hash)) return inPlace ? null : reordered(position, entryId);
    return this.diagnose(seal, hash, inPlace, next);
  }

  // A hash that is not right says only that something is wrong up to here. What would make it right says more.
  private diagnose(
    seal: SealedEntry,
    hash: Buffer,
    inPlace: boolean,
    next: SealedEntry | undefined,
  ): ChainFault {
    const { position, entryId } = seal;
    const rightWithout = this.passed.find(({ before }) => leads(before.hash, seal));
    if (rightWithout !== undefined) return inserted(rightWithout.before.position + 1, rightWithout.entryId);
    if (next !== undefined && leads(this.head.hash, next)) return inserted(position, entryId);
    if (next !== undefined && leads(hash, next))
      return {
        kind: 'seal-altered',
        position,
        entryId,
        detail: `The seal at position ${position} was altered; its entry ${entryId} is what was sealed.`,
      };
    const nextInPlace = next === undefined || isAfter(placeOf(next), placeOf(seal));
    if (!inPlace || !nextInPlace) return reordered(position, entryId);
    return {
      kind: 'altered',
      position,
      entryId,
      detail:
        `Entry ${entryId}, at position ${position}, is not what was sealed there: it was altered, or one before it ` +
        `was taken out together with its seal.`,
    };
  }

  private againstNotedHeads({ position, entryId, hash }: SealedEntry): ChainFault | null {
    const differs = this.notedHeads.some((head) => head.position === position && !head.hash.equals(hash));
    return differs ? rewritten(position, entryId) : null;
  }
}

/** An entry among sealed ones that no seal names. */
export function unsealedAmongSealed(entryId: string): ChainFault {
  return {
    kind: 'inserted',
    position: null,
    entryId,
    detail: `Entry ${entryId} was put in later: it stands among sealed entries without a place in the chain.`,
  };
}

export function rewritten(position: number, entryId: string | null): ChainFault {
  return {
    kind: 'rewritten',
    position,
    entryId,
    detail:
      `The chain does not lead to the head that was noted for position ${position}: what stands up to there was ` +
      `rewritten.`,
  };
}

export function truncated(end: number, beyond: Head): ChainFault {
  return {
    kind: 'truncated',
    position: end + 1,
    entryId: null,
    detail:
      `The chain ends at position ${end}, but a head was noted for position ${beyond.position}: entries were cut off ` +
      `at the end.`,
  };
}

function inserted(position: number, entryId: string): ChainFault {
  return {
    kind: 'inserted',
    position,
    entryId,
    detail: `Entry ${entryId}, at position ${position}, was put in later: the chain goes on as if it were not there.`,
  };
}

function reordered(position: number, entryId: string): ChainFault {
  return {
    kind: 'reordered',
    position,
    entryId,
    detail: `Entry ${entryId}, at position ${position}, does not stand where it was written.`,
  };
}

const byPosition = (a: Head, b: Head): number => a.position - b.position;

function leads(hash: Buffer, { entry, hash: sealed }: SealedEntry): boolean {
  return entry !== null && sealHash(hash, entry).equals(sealed);
}

export function placeOf({ xid, entry }: SealedEntry): LogPlace | null {
  return xid === null || entry === null ? null : { xid, sequence: entry.sequence };
}

// An unknown place is not out of order.
function isAfter(place: LogPlace | null, before: LogPlace | null): boolean {
  if (place === null || before === null) return true;
  if (place.xid !== before.xid) return BigInt(place.xid) > BigInt(before.xid);
  return BigInt(place.sequence) > BigInt(before.sequence);
}
