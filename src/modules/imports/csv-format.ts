import { stringify, type Options } from 'csv-stringify/sync';
import { csvRecords, type CsvRecord } from '../../platform/csv/csv-records';
import { checkHeader, valuesOf } from './import-header';
import type { ImportColumn, ImportKind } from './import-kind';
import {
  PROBLEM_FIELD,
  problemOf,
  type ImportFormat,
  type ImportRecord,
  type OpenedFile,
} from './import-record';

// a line break of either kind within a cell has to stand in quotes, whatever ends the records
const REJECTS_AS: Options = { record_delimiter: 'windows', escape_formulas: true, quoted_match: /[\r\n]/ };

/** RFC 4180; the first line names the columns. */
export const csvFormat: ImportFormat = {
  contentType: 'text/csv',
  fileEnding: 'csv',

  async open(chunks, kind): Promise<OpenedFile> {
    const nested = kind.columns.find(({ type, required }) => type === 'nested' && required);
    if (nested !== undefined) return { failure: notAsCsv(nested.name) };
    const records = csvRecords(chunks);
    const first = await records.next();
    if (first.done === true) return { failure: 'The file is empty: the first line names the columns.' };
    const header = first.value;
    if (header.error !== null) return { failure: `The first line cannot be read: ${header.error}.` };
    const checked = checkHeader(header.fields, columnsOf(kind));
    if ('failure' in checked) return checked;
    return { header: header.raw, records: readRecords(records, checked.columns) };
  },

  async rejectsHeader(header) {
    const names = await fieldsOf(header ?? '');
    return stringify([[...withoutProblem(names), PROBLEM_FIELD]], REJECTS_AS);
  },

  async reject(line, header) {
    const names = await fieldsOf(header ?? '');
    const columns = withoutProblem(names);
    const fields = await fieldsOf(line.raw ?? '');
    const cells =
      fields.length === names.length
        ? columns.map((name) => fields[names.indexOf(name)] ?? '')
        : // a line that could not be taken apart stands whole in the first cell, for a person to mend
          [line.raw ?? '', ...columns.slice(1).map(() => '')];
    return stringify([[...cells, problemOf(line)]], REJECTS_AS);
  },
};

function notAsCsv(field: string): string {
  return `CSV has no column for ${field}, which these records need: hand them over as application/x-ndjson.`;
}

// what is made of several parts has no cell
function columnsOf({ columns }: ImportKind): ImportColumn[] {
  return columns.filter(({ type }) => type !== 'nested');
}

const withoutProblem = (names: readonly string[]): string[] => names.filter((name) => name !== PROBLEM_FIELD);

async function* readRecords(
  records: AsyncIterable<CsvRecord>,
  columns: readonly (ImportColumn | null)[],
): AsyncGenerator<ImportRecord> {
  for await (const { error, fields, ...record } of records) {
    if (error !== null) {
      const errors = [{ detail: error, remedy: 'correct the line and import the rejects again' }];
      yield { ...record, values: null, errors };
    } else if (fields.length !== columns.length) {
      const detail = `The line has ${fields.length} fields, the header ${columns.length}.`;
      const remedy = 'put a field that contains a comma in quotes, and leave no field out';
      yield { ...record, values: null, errors: [{ detail, remedy }] };
    } else yield { ...record, values: valuesOf(fields, columns), errors: [] };
  }
}

async function fieldsOf(text: string): Promise<string[]> {
  async function* once(): AsyncGenerator<Buffer> {
    yield await Promise.resolve(Buffer.from(text));
  }
  const first = await csvRecords(once()).next();
  return first.done !== true && first.value.error === null ? first.value.fields : [];
}
