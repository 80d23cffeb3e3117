import { Injectable } from '@nestjs/common';
import { ADMINISTRATORS_SUBJECTS } from '../../platform/audit/recorded-changes';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { Cursors } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { ofAnotherHistory, olderThanKept } from './changes.errors';
import {
  ChangesRepository,
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
  settled: string;
}

/** Reads that one key may have waiting in one process; more are answered at once. */
const WAITING_AT_MOST = 10;

/** What changed, in an order that never has something added in front of what a reader has seen. */
@Injectable()
export class ChangesService {
  private readonly waitingOf = new Map<string, number>();

  constructor(
    private readonly transactions: Transactions,
    private readonly changes: ChangesRepository,
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
      limit,
    };
    let found = await this.find(principal, query);
    if (found.items.length === 0 && wait > 0) {
      found = await this.oneOfFew(principal, found, () => this.wait(principal, query, found, wait, gone));
    }
    const { xid, sequence, history, historyTag } = found.next;
    return { items: found.items, next: this.cursors.encode([xid, sequence, history, historyTag], filter) };
  }

  /** Some changes as they are told, by their ids; those that are no longer kept are missing. */
  async told(tx: Tx, organisationId: string, ids: readonly string[]): Promise<Map<string, ChangeDto>> {
    const rows = await this.changes.find(tx, ids);
    return new Map(rows.map((row) => [row.id, toChangeDto(organisationId, row)]));
  }

  /** The place behind everything that is settled: what is being recorded at this moment comes after it. */
  private async now(principal: Principal): Promise<After> {
    const nothing = { after: null, types: null, hiddenSubjects: [], limit: 0 };
    return (await this.find(principal, nothing)).next;
  }

  private async find(principal: Principal, query: FeedQuery): Promise<Found> {
    const rows = await this.transactions.readRows(principal, feedPage(query));
    const [first] = rows;
    if (first === undefined) throw new Error('the page of the feed says nothing, not even that it is empty');
    if (!first.known) throw ofAnotherHistory();
    if (first.gone) throw olderThanKept();
    const changes = rows.filter((row) => row.id !== null);
    this.metrics.read(changes);
    const items = changes.map((row) => toChangeDto(principal.organisationId, row));
    return {
      items,
      next: placeAfter(query, first, changes.at(-1) ?? null, items.length),
      settled: first.settled,
    };
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
      await this.watch.moved(found.settled, ms, gone);
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

// A page that is not full goes as far as everything is settled, also over changes that the reader did not ask for:
// so the cursor of whoever has nothing to read does not grow old.
function placeAfter(
  { after, limit }: FeedQuery,
  { settled, history, historyTag }: FeedRow,
  last: FeedPlace | null,
  count: number,
): After {
  const here = { history, historyTag };
  if (last !== null && count === limit) return { xid: last.xid, sequence: last.sequence, ...here };
  // a standby may be behind what the reader has seen
  if (after !== null && BigInt(after.xid) >= BigInt(settled)) return after;
  return { xid: settled, sequence: '0', ...here };
}

function placeOf(values: unknown[] | null): After | null {
  if (values === null) return null;
  const [xid = '', sequence = '', history = '', historyTag = ''] = values.map(String);
  return { xid, sequence, history, historyTag };
}
