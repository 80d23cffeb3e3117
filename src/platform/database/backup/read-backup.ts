import { createReadStream } from 'node:fs';
import { pipeline } from 'node:stream';
import { createGunzip } from 'node:zlib';
import { BackupError } from './backup-error';
import {
  END_OF_ROWS,
  FORMAT,
  TITLE,
  type BackupEnd,
  type BackupHeader,
  type PendingJob,
  type SequenceState,
  type TableSum,
} from './backup-format';
import { CountedRows } from './counted-rows';

/** What a backup consists of, in this order. */
export type BackupPart =
  | { kind: 'header'; header: BackupHeader }
  /** rows in COPY's text format: to be taken before the next part is asked for, which compares them with their sum */
  | { kind: 'rows'; table: string; columns: string[]; rows: AsyncIterable<Buffer> }
  | { kind: 'sequence'; sequence: SequenceState }
  | { kind: 'job'; job: PendingJob }
  | { kind: 'end'; end: BackupEnd; sums: TableSum[] };

/**
 * Reads a backup once, as it comes in, and holds it against its own sums.
 *
 * @throws BackupError for a file that is none, is cut off, or is not what was written
 */
export async function* readBackup(file: string): AsyncGenerator<BackupPart> {
  const text = pipeline(createReadStream(file), createGunzip(), () => undefined);
  try {
    yield* new BackupText(file, text).parts();
  } finally {
    text.destroy();
  }
}

const NEWLINE = '\n';
const LAST_LINE = Buffer.from(`${END_OF_ROWS}${NEWLINE}`);
const COPY = /^COPY (\S+) \((.*)\) FROM STDIN;$/;
const REMARK = /^-- (\w+) (\{.*\})$/;

class BackupText {
  private readonly chunks: AsyncIterator<Buffer>;
  private rest = Buffer.alloc(0);
  private readonly sums: TableSum[] = [];
  private jobs = 0;

  constructor(
    private readonly file: string,
    text: AsyncIterable<Buffer>,
  ) {
    this.chunks = text[Symbol.asyncIterator]();
  }

  async *parts(): AsyncGenerator<BackupPart> {
    if ((await this.line()) !== TITLE) throw this.damage('it is no backup of this service');
    yield { kind: 'header', header: this.header(await this.line()) };
    for (;;) {
      const line = await this.line();
      const [, table, columns = ''] = COPY.exec(line) ?? [];
      if (table !== undefined) {
        yield* this.table(table, columns.split(', '));
        continue;
      }
      const part = this.afterRows(line);
      yield part;
      if (part.kind === 'end') return;
    }
  }

  private async *table(table: string, columns: string[]): AsyncGenerator<BackupPart> {
    const counted = new CountedRows();
    yield { kind: 'rows', table, columns, rows: counted.of(this.rows()) };
    const expected = this.remark(await this.line(), 'table') as TableSum;
    const sum = { table, ...counted.sum() };
    if (expected.table !== table || expected.rows !== sum.rows || expected.sha256 !== sum.sha256)
      throw this.damage(`the rows of ${table} are not those that were written`);
    this.sums.push(sum);
  }

  private afterRows(line: string): BackupPart {
    const [, kind] = REMARK.exec(line) ?? [];
    if (kind === 'sequence') return { kind, sequence: this.remark(line, kind) as SequenceState };
    if (kind === 'job') {
      this.jobs += 1;
      return { kind, job: this.remark(line, kind) as PendingJob };
    }
    const end = this.remark(line, 'end') as BackupEnd;
    const rows = this.sums.reduce((sum, each) => sum + each.rows, 0);
    if (end.tables !== this.sums.length || end.rows !== rows || end.jobs !== this.jobs)
      throw this.damage('parts of it are missing');
    return { kind: 'end', end, sums: this.sums };
  }

  /** The next line, without its end. */
  private async line(): Promise<string> {
    for (let from = 0; ;) {
      const end = this.rest.indexOf(NEWLINE, from);
      if (end >= 0) {
        const line = this.rest.subarray(0, end).toString('utf8');
        this.rest = this.rest.subarray(end + 1);
        return line;
      }
      from = this.rest.length;
      await this.more();
    }
  }

  /** Whole lines, as they come in, up to the one that ends the rows. */
  private async *rows(): AsyncGenerator<Buffer> {
    for (;;) {
      // what is left always begins with a line
      const none = this.rest.subarray(0, LAST_LINE.length).equals(LAST_LINE);
      const before = none ? 0 : this.rest.indexOf(`${NEWLINE}${LAST_LINE.toString()}`) + 1;
      const found = none || before > 0;
      const whole = found ? before : this.rest.lastIndexOf(NEWLINE) + 1;
      if (whole > 0) yield this.rest.subarray(0, whole);
      this.rest = this.rest.subarray(found ? whole + LAST_LINE.length : whole);
      if (found) return;
      await this.more();
    }
  }

  private async more(): Promise<void> {
    const next = await this.chunks.next().catch((error: unknown) => {
      throw this.unreadable(error);
    });
    if (next.done === true) throw this.damage('it is cut off');
    this.rest = Buffer.concat([this.rest, next.value]);
  }

  private header(line: string): BackupHeader {
    const header = this.remark(line, 'header') as BackupHeader;
    // a later version may write another format, and will know this one
    if (header.format !== FORMAT)
      throw this.damage(
        `its format is ${header.format}, and this version of the service reads format ${FORMAT}`,
      );
    return header;
  }

  private remark(line: string, kind: string): unknown {
    const [, found, content = ''] = REMARK.exec(line) ?? [];
    if (found !== kind) throw this.damage(`"${line.slice(0, 40)}" stands where "${kind}" is expected`);
    return JSON.parse(content) as unknown;
  }

  private unreadable(error: unknown): unknown {
    const { code = '' } = error as NodeJS.ErrnoException;
    if (code === 'ENOENT') return new BackupError(`There is no file ${this.file}.`, { cause: error });
    return code.startsWith('Z_') ? this.damage('it is cut off or cannot be unpacked', error) : error;
  }

  private damage(how: string, cause?: unknown): BackupError {
    return new BackupError(`${this.file} cannot be used: ${how}.`, { cause });
  }
}
