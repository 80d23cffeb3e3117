import { setTimeout as sleep } from 'node:timers/promises';
import type { ChangeDto, ChangePageDto } from '../../src/modules/changes/dto/change.dto';
import { send, type Sent } from './send';
import type { TestApp } from './test-app';

/** Follows the change feed with one key, as a client would: it keeps nothing but the last `next`. */
export class FeedReader {
  /** everything read so far, in the order of the feed */
  readonly read: ChangeDto[] = [];
  next: string | null = null;

  constructor(
    private readonly test: TestApp,
    private readonly key: string,
    private readonly query: Record<string, string> = {},
  ) {}

  ask(query: Record<string, string> = {}): Promise<Sent> {
    const parameters = new URLSearchParams({
      ...this.query,
      ...(this.next === null ? {} : { after: this.next }),
      ...query,
    });
    return send(this.test, 'GET', `/v1/changes?${parameters.toString()}`, { key: this.key });
  }

  /** Reads one page and goes on behind it. */
  async page(query: Record<string, string> = {}): Promise<ChangeDto[]> {
    const answer = await this.ask(query);
    if (answer.status !== 200) throw new Error(answer.text);
    const { items, next } = answer.body as unknown as ChangePageDto;
    this.read.push(...items);
    this.next = next;
    return items;
  }

  /** From here on. */
  async now(): Promise<this> {
    await this.page({ after: 'now' });
    return this;
  }

  /**
   * Reads on until what has been read is enough. The server that the tests share has transactions of other tests,
   * and changes are readable only when those that were open meanwhile have ended.
   */
  async until(enough: (read: readonly ChangeDto[]) => boolean): Promise<ChangeDto[]> {
    for (const deadline = Date.now() + 50_000; Date.now() < deadline;) {
      const page = await this.page();
      if (enough(this.read)) return this.read;
      if (page.length === 0) await sleep(50);
    }
    throw new Error(`not enough after ${this.read.length} changes: ${this.types().join(', ')}`);
  }

  types(): string[] {
    return this.read.map(({ type }) => type);
  }
}
