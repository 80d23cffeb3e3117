import { Injectable } from '@nestjs/common';
import { Transactions, type Tx } from '../../platform/database/transactions';
import type { Principal } from '../../platform/security/principal';
import { BEGINNING, type Head } from './audit-chain';
import { AuditSealsRepository, type SealedEntry, type Unsealed } from './audit-seals.repository';
import {
  ChainWalk,
  placeOf,
  rewritten,
  truncated,
  unsealedAmongSealed,
  type ChainFault,
} from './check-chain';

const BATCH = 250;

/** What was asked for: from where, how far at most, and which heads were noted earlier. */
export interface CheckRequest {
  after?: Head;
  heads?: readonly Head[];
  limit?: number;
}

export interface ChainCheck {
  entriesChecked: number;
  /** up to where the chain is in order */
  checkedUpTo: Head;
  /** whether that is its end */
  complete: boolean;
  fault: ChainFault | null;
  /** entries younger than the last seal, which nothing vouches for yet */
  unsealed: Unsealed;
}

/** Computes chains again from the entries. */
@Injectable()
export class AuditChecksService {
  constructor(
    private readonly transactions: Transactions,
    private readonly seals: AuditSealsRepository,
  ) {}

  /** A few entries at a time, so that neither a long chain nor a long check holds anything up. */
  async check(
    principal: Principal,
    { after = BEGINNING, heads = [], limit }: CheckRequest,
  ): Promise<ChainCheck> {
    let entriesChecked = 0;
    const began = await this.transactions.read(principal, (tx) => this.beginAfter(tx, after, heads));
    let { fault } = began;
    let complete = fault !== null;
    while (fault === null && !complete && entriesChecked < (limit ?? Infinity)) {
      const size = Math.min(BATCH, (limit ?? Infinity) - entriesChecked);
      const from = began.walk.head.position;
      const done = await this.transactions.read(principal, (tx) => this.checkBatch(tx, began.walk, size));
      ({ fault, complete } = done);
      entriesChecked += began.walk.head.position - from;
    }
    const unsealed = await this.transactions.read(principal, (tx) => this.seals.unsealed(tx));
    return {
      entriesChecked,
      checkedUpTo: began.walk.head,
      complete: complete && fault === null,
      fault,
      unsealed,
    };
  }

  private async beginAfter(
    tx: Tx,
    after: Head,
    heads: readonly Head[],
  ): Promise<{ walk: ChainWalk; fault: ChainFault | null }> {
    const seal = after.position === 0 ? null : await this.seals.sealAt(tx, after.position);
    const walk = new ChainWalk(after, seal === null ? null : placeOf(seal), heads);
    if (after.position === 0) {
      return { walk, fault: after.hash.equals(BEGINNING.hash) ? null : rewritten(0, null) };
    }
    if (seal === null) return { walk, fault: truncated((await this.seals.head(tx)).position, after) };
    return { walk, fault: seal.hash.equals(after.hash) ? null : rewritten(after.position, seal.entryId) };
  }

  private async checkBatch(
    tx: Tx,
    walk: ChainWalk,
    size: number,
  ): Promise<{ fault: ChainFault | null; complete: boolean }> {
    const before = walk.place;
    // one more than is gone along: what comes next tells some faults apart
    const seals = await this.seals.sealsAfter(tx, walk.head.position, size + 1);
    const fault = goAlong(walk, seals, size);
    // an entry that was put in between stands before whatever is wrong after it
    const stray = walk.place === null ? null : await this.seals.firstUnsealedBetween(tx, before, walk.place);
    if (stray !== null) return { fault: unsealedAmongSealed(stray), complete: false };
    if (fault !== null || seals.length > size) return { fault, complete: false };
    return { fault: walk.end(), complete: true };
  }
}

function goAlong(walk: ChainWalk, seals: readonly SealedEntry[], size: number): ChainFault | null {
  for (const [at, seal] of seals.slice(0, size).entries()) {
    const fault = walk.step(seal, seals[at + 1]);
    if (fault !== null) return fault;
  }
  return null;
}
