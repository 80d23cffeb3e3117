import type { FieldError } from '../../platform/errors/coded-error';
import { fieldPointer } from '../../platform/http/field-pointer';
import { unstorableFaults } from '../../platform/http/storable-value.pipe';
import { jsonLines, type JsonLine } from '../../platform/ndjson/json-lines';
import type { ImportColumn } from './import-kind';
import {
  PROBLEM_FIELD,
  problemOf,
  type ImportFormat,
  type ImportRecord,
  type OpenedFile,
} from './import-record';

/** Stands in the rejects for a line that was no object, with the line as its text. */
const UNREADABLE_FIELD = 'unreadable';

/** A JSON object on each line. */
export const ndjsonFormat: ImportFormat = {
  contentType: 'application/x-ndjson',
  fileEnding: 'ndjson',

  open(chunks, kind): Promise<OpenedFile> {
    return Promise.resolve({ header: null, records: readRecords(jsonLines(chunks), kind.columns) });
  },

  rejectsHeader() {
    return Promise.resolve('');
  },

  async reject(line) {
    const raw = line.raw ?? '';
    const [read] = await linesOf(raw);
    const fields = read?.value ?? { [UNREADABLE_FIELD]: raw };
    return `${JSON.stringify({ ...fields, [PROBLEM_FIELD]: problemOf(line) })}\n`;
  },
};

async function* readRecords(
  lines: AsyncIterable<JsonLine>,
  columns: readonly ImportColumn[],
): AsyncGenerator<ImportRecord> {
  const known = new Set(columns.map(({ name }) => name));
  for await (const { value, error, ...line } of lines) {
    if (value === null) {
      const remedy = 'correct the line and import the rejects again';
      yield { ...line, values: null, errors: [{ detail: error ?? 'the line cannot be read', remedy }] };
      continue;
    }
    const values = Object.fromEntries(Object.entries(value).filter(([name]) => name !== PROBLEM_FIELD));
    const errors = [...unknownFields(values, known), ...unstorableFaults(values)];
    yield { ...line, values: errors.length > 0 ? null : values, errors };
  }
}

function unknownFields(values: object, known: ReadonlySet<string>): FieldError[] {
  return Object.keys(values)
    .filter((name) => !known.has(name))
    .map((name) => ({
      pointer: fieldPointer([name]),
      detail: 'is no field of these records',
      remedy: `leave it out; known are ${[...known].join(', ')}`,
    }));
}

async function linesOf(text: string): Promise<JsonLine[]> {
  async function* once(): AsyncGenerator<Buffer> {
    yield await Promise.resolve(Buffer.from(text));
  }
  const lines: JsonLine[] = [];
  for await (const line of jsonLines(once())) lines.push(line);
  return lines;
}
