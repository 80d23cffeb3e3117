import { createHash } from 'node:crypto';

const NEWLINE = 0x0a;

/** How many rows went by, and what they were. */
export class CountedRows {
  rows = 0;
  private readonly hash = createHash('sha256');

  /** Passes rows of COPY's text format on: a line each, since a line break inside a value is written as `\n`. */
  async *of(chunks: AsyncIterable<Buffer>): AsyncGenerator<Buffer> {
    for await (const chunk of chunks) {
      this.hash.update(chunk);
      for (let at = chunk.indexOf(NEWLINE); at >= 0; at = chunk.indexOf(NEWLINE, at + 1)) this.rows += 1;
      yield chunk;
    }
  }

  sum(): RowSum {
    return { rows: this.rows, sha256: this.hash.digest('hex') };
  }
}

export interface RowSum {
  rows: number;
  sha256: string;
}

/** Takes rows for nothing but their sum. */
export async function goThrough(rows: AsyncIterable<unknown>): Promise<void> {
  const iterator = rows[Symbol.asyncIterator]();
  while ((await iterator.next()).done !== true);
}
