import { Injectable } from '@nestjs/common';
import { ADMINISTRATORS_SUBJECTS } from '../../platform/audit/recorded-changes';
import { Transactions } from '../../platform/database/transactions';
import { Cursors } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { ofAnotherHistory, olderThanKept } from './changes.errors';
import {
  feedEnd,
  feedPage,
  type FeedPlace,
  type FeedQuery,
  type FeedRow,
  type HistoryTag,
} from './changes.repository';
import { toChangeDto, type ChangeDto, type ChangePageDto } from './dto/change.dto';
import type { ReadChangesQueryDto } from './dto/change-query.dto';
import { FeedMetrics } from './feed-metrics';
import { SettledWatch } from './settled-watch';

type After = FeedPlace & HistoryTag;

interface Found {
  items: ChangeDto[];
  next: After;
  /** nothing settled follows `next` */
  atEnd: boolean;
  settled: string;
}

/** Reads that one key may have waiting in one process; more are answered at once. */
const WAITING_AT_MOST = 10;

/** Changes that are looked at together for those of some types, and how many times for one answer. */
const LOOK_AT = 2_000;
const LOOKS_AT_MOST = 25;

/** What changed, in an order that never has something added in front of what a reader has seen. */
@Injectable()
export class ChangesService {
  private readonly waitingOf = new Map<string, number>();

  constructor(
    private readonly transactions: Transactions,
    private readonly cursors: Cursors,
    private readonly watch: SettledWatch,
    private readonly metrics: FeedMetrics,
  ) {}

  /** @param gone tells that nobody waits for the answer any more */
  async read(
    { principal }: RequestContext,
    { after, limit = 100, types, wait = 0 }: ReadChangesQueryDto,
    gone: AbortSignal,
  ): Promise<ChangePageDto> {
    const filter = { feed: 'changes', organisationId: principal.organisationId };
    const query: FeedQuery = {
      after:
        after === 'now' ? await this.now(principal) : placeOf(this.cursors.after(after, filter, 'after')),
      types: types ?? null,
      hiddenSubjects: principal.role === 'administrator' ? [] : ADMINISTRATORS_SUBJECTS,
      lookAt: types === undefined ? limit : Math.max(limit, LOOK_AT),
      limit,
    };
    let found = await this.find(principal, query);
    if (found.items.length === 0 && wait > 0) {
      found = await this.oneOfFew(principal, found, () => this.wait(principal, query, found, wait, gone));
    }
    const { xid, sequence, history, historyTag } = found.next;
    return { items: found.items, next: this.cursors.encode([xid, sequence, history, historyTag], filter) };
  }

  private async now(principal: Principal): Promise<After> {
    const [end] = await this.transactions.readRows(principal, feedEnd());
    if (end === undefined) throw new Error('the feed has no end');
    return end;
  }

  /** Looks on while there is nothing for the reader, but not for ever: `next` says how far it came. */
  private async find(principal: Principal, query: FeedQuery): Promise<Found> {
    let found = await this.look(principal, query);
    for (let looks = 1; found.items.length === 0 && !found.atEnd && looks < LOOKS_AT_MOST; looks++) {
      found = await this.look(principal, { ...query, after: found.next });
    }
    return found;
  }

  private async look(principal: Principal, query: FeedQuery): Promise<Found> {
    const rows = await this.transactions.readRows(principal, feedPage(query));
    const [first] = rows;
    if (first === undefined) throw new Error('the page of the feed says nothing, not even that it is empty');
    if (!first.known) throw ofAnotherHistory();
    if (first.gone) throw olderThanKept();
    const changes = rows.filter((row) => row.id !== null);
    this.metrics.read(changes);
    const items = changes.map((row) => toChangeDto(principal.organisationId, row));
    return { items, ...placeAfter(query, first, changes), settled: first.settled };
  }

  private async wait(
    principal: Principal,
    query: FeedQuery,
    nothing: Found,
    seconds: number,
    gone: AbortSignal,
  ): Promise<Found> {
    const until = performance.now() + seconds * 1000;
    let found = nothing;
    for (;;) {
      const ms = until - performance.now();
      if (found.items.length > 0 || ms <= 0 || gone.aborted || this.watch.closing) return found;
      if (found.atEnd) await this.watch.moved(found.settled, ms, gone);
      found = await this.find(principal, { ...query, after: found.next });
    }
  }

  /** Answers `otherwise` where the key has enough requests waiting. */
  private async oneOfFew<T>(principal: Principal, otherwise: T, work: () => Promise<T>): Promise<T> {
    const reader = principal.actorId ?? principal.organisationId;
    const waiting = this.waitingOf.get(reader) ?? 0;
    if (waiting >= WAITING_AT_MOST) return otherwise;
    this.waitingOf.set(reader, waiting + 1);
    try {
      return await work();
    } finally {
      const left = (this.waitingOf.get(reader) ?? 1) - 1;
      if (left === 0) this.waitingOf.delete(reader);
      else this.waitingOf.set(reader, left);
    }
  }
}

const BEGINNING: FeedPlace = { xid: '0', sequence: '0' };

// Behind what has been looked at, also where the reader did not ask for it: so the cursor of whoever has nothing to read
// does not grow old. Never as far as everything is settled at this moment: numbers of transactions of which nothing has
// reached the disk are given out again after a crash.
function placeAfter(
  { after, limit }: FeedQuery,
  { history, historyTag, settledMark, seenXid, seenSequence, seenAll }: FeedRow,
  changes: readonly FeedPlace[],
): Pick<Found, 'next' | 'atEnd'> {
  const at = ({ xid, sequence }: FeedPlace): After => ({ xid, sequence, history, historyTag });
  const last = changes.at(-1);
  if (last !== undefined && changes.length === limit) return { next: at(last), atEnd: false };
  const seen = seenXid === null || seenSequence === null ? null : { xid: seenXid, sequence: seenSequence };
  if (seen !== null && seenAll === true) return { next: at(seen), atEnd: false };
  const mark = settledMark === null ? null : { xid: settledMark, sequence: '0' };
  const furthest = [after, seen, mark].reduce<FeedPlace>(later, BEGINNING);
  return { next: at(furthest), atEnd: true };
}

function later(one: FeedPlace, other: FeedPlace | null): FeedPlace {
  if (other === null) return one;
  const [difference, tie] = [
    BigInt(other.xid) - BigInt(one.xid),
    BigInt(other.sequence) - BigInt(one.sequence),
  ];
  return difference > 0n || (difference === 0n && tie > 0n) ? other : one;
}

function placeOf(values: unknown[] | null): After | null {
  if (values === null) return null;
  const [xid = '', sequence = '', history = '', historyTag = ''] = values.map(String);
  return { xid, sequence, history, historyTag };
}
