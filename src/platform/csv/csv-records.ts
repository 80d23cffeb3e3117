import { CsvError, parse } from 'csv-parse/sync';
import { physicalLines, type PhysicalLine } from '../bulk/physical-lines';

/** One record of a CSV file (RFC 4180), or why the line is none. */
export interface CsvRecord {
  /** line of the file on which it starts; the first is 1 */
  lineNumber: number;
  fields: string[];
  /** as it stood in the file */
  raw: string;
  error: string | null;
  bytesRead: number;
}

export const LONGEST_LINE_BYTES = 1_048_576;
const MOST_LINES_OF_A_RECORD = 100;
const LINES_AT_ONCE = 500;

/**
 * Reads records that may have line breaks inside quotes. A quote in the wrong place costs the line that it
 * stands on, not the rest of the file: reading goes on at the line after it.
 */
export async function* csvRecords(chunks: AsyncIterable<Buffer>): AsyncGenerator<CsvRecord> {
  const lines = new LineBuffer(physicalLines(chunks, LONGEST_LINE_BYTES));
  for (let block = await lines.takePlain(LINES_AT_ONCE); ; block = await lines.takePlain(LINES_AT_ONCE)) {
    if (block.length > 0) {
      const rows: string[][] = parse(block.map(({ text }) => text).join('\n'), { relax_column_count: true });
      for (const [index, line] of block.entries()) {
        yield { ...position(line), fields: rows[index] ?? [], raw: line.text ?? '', error: null };
      }
    }
    const line = await lines.peek(0);
    if (line === undefined) return;
    if (line.text === '') lines.drop(1);
    else if (block.length < LINES_AT_ONCE) yield* recordAt(line, lines);
  }
}

async function* recordAt(first: PhysicalLine, lines: LineBuffer): AsyncGenerator<CsvRecord> {
  if (first.text === null) {
    lines.drop(1);
    const error =
      first.fault === 'too-long'
        ? `the line is longer than ${LONGEST_LINE_BYTES} bytes`
        : 'the line is not in UTF-8: save the file as "CSV UTF-8"';
    yield { ...position(first), fields: [], raw: '', error };
    return;
  }
  let raw = first.text;
  for (let count = 1; ; count++) {
    const outcome = parseRecord(raw);
    if (outcome.kind === 'record') {
      const last = (await lines.peek(count - 1)) ?? first;
      lines.drop(count);
      yield { lineNumber: first.number, bytesRead: last.bytesRead, fields: outcome.fields, raw, error: null };
      return;
    }
    const next =
      outcome.kind === 'open' && count < MOST_LINES_OF_A_RECORD ? await lines.peek(count) : undefined;
    if (next === undefined || next.text === null || raw.length + next.text.length > LONGEST_LINE_BYTES) {
      lines.drop(1);
      const error = outcome.kind === 'open' ? 'a quote is opened and not closed' : outcome.error;
      yield { ...position(first), fields: [], raw: first.text, error };
      return;
    }
    raw += `\n${next.text}`;
  }
}

type Outcome = { kind: 'record'; fields: string[] } | { kind: 'open' } | { kind: 'bad'; error: string };

function parseRecord(raw: string): Outcome {
  try {
    const rows: string[][] = parse(raw, { relax_column_count: true, record_delimiter: '\u0000\n\u0000' });
    return { kind: 'record', fields: rows[0] ?? [] };
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    if (error.code === 'CSV_QUOTE_NOT_CLOSED') return { kind: 'open' };
    return {
      kind: 'bad',
      error: 'a quote stands inside a field: put the field in quotes and double the quote',
    };
  }
}

function position(line: PhysicalLine): Pick<CsvRecord, 'lineNumber' | 'bytesRead'> {
  return { lineNumber: line.number, bytesRead: line.bytesRead };
}

/** Lines that have been read but not used up yet. */
class LineBuffer {
  private readonly held: PhysicalLine[] = [];
  private ended = false;

  constructor(private readonly source: AsyncGenerator<PhysicalLine>) {}

  async peek(index: number): Promise<PhysicalLine | undefined> {
    while (this.held.length <= index && !this.ended) {
      const next = await this.source.next();
      if (next.done === true) this.ended = true;
      else this.held.push(next.value);
    }
    return this.held[index];
  }

  drop(count: number): void {
    this.held.splice(0, count);
  }

  /** Lines in a row that no quote makes part of a longer record. */
  async takePlain(most: number): Promise<PhysicalLine[]> {
    let count = 0;
    for (; count < most; count++) {
      const line = await this.peek(count);
      if (line === undefined || line.text === null || line.text === '' || line.text.includes('"')) break;
    }
    return this.held.splice(0, count);
  }
}
