import { stringify, type Options } from 'csv-stringify/sync';
import { guardFormula } from './formula-guard';

export type CsvCell = string | number | boolean | null | undefined;

// a line break of either kind within a cell has to stand in quotes, whatever ends the records
const AS: Options = {
  record_delimiter: 'windows',
  quoted_match: /[\r\n]/,
  cast: { boolean: String, string: guardFormula },
};

/**
 * Records of a CSV file (RFC 4180), each ended by CRLF. What is unknown is an empty cell, a truth value `true` or
 * `false`; texts are guarded against being run as formulas, numbers stay numbers.
 */
export function writeCsv(records: readonly (readonly CsvCell[])[]): string {
  return stringify(
    records.map((record) => [...record]),
    AS,
  );
}
