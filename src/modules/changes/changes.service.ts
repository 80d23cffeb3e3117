import { Injectable } from '@nestjs/common';
import { ADMINISTRATORS_SUBJECTS } from '../../platform/audit/recorded-changes';
import { Transactions } from '../../platform/database/transactions';
import { Cursors } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { ofAnotherHistory, olderThanKept } from './changes.errors';
import {
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

  /** The place behind everything that is settled: what is being recorded at this moment comes after it. */
  private async now(principal: Principal): Promise<After> {
    const nothing = { after: null, types: null, hiddenSubjects: [], lookAt: 0, limit: 0 };
    return (await this.look(principal, nothing)).next;
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
    const reader = principal.apiKeyId ?? principal.organisationId;
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

// Where everything settled has been looked at, the place is behind all of it, also where the reader did not ask for
// it: so the cursor of whoever has nothing to read does not grow old.
function placeAfter(
  { after, limit }: FeedQuery,
  { settled, history, historyTag, seenXid, seenSequence }: FeedRow,
  changes: readonly FeedPlace[],
): Pick<Found, 'next' | 'atEnd'> {
  const here = { history, historyTag };
  const last = changes.at(-1);
  if (last !== undefined && changes.length === limit) {
    return { next: { xid: last.xid, sequence: last.sequence, ...here }, atEnd: false };
  }
  if (seenXid !== null && seenSequence !== null) {
    return { next: { xid: seenXid, sequence: seenSequence, ...here }, atEnd: false };
  }
  // a standby may be behind what the reader has seen
  const behind = after !== null && BigInt(after.xid) >= BigInt(settled);
  return { next: behind ? after : { xid: settled, sequence: '0', ...here }, atEnd: true };
}

function placeOf(values: unknown[] | null): After | null {
  if (values === null) return null;
  const [xid = '', sequence = '', history = '', historyTag = ''] = values.map(String);
  return { xid, sequence, history, historyTag };
}
