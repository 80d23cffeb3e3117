import { stringify } from 'csv-stringify/sync';

/** How a spreadsheet wrote a file out. */
export interface CsvDialect {
  lineEnd: '\n' | '\r\n';
  byteOrderMark: boolean;
}

/** Rows as RFC 4180 text with a header; fields are quoted where they must be. LF and no mark by default. */
export function csvText(
  columns: readonly string[],
  rows: readonly (readonly string[])[],
  dialect: CsvDialect = { lineEnd: '\n', byteOrderMark: false },
): string {
  return stringify([columns, ...rows] as string[][], {
    record_delimiter: dialect.lineEnd,
    bom: dialect.byteOrderMark,
  });
}
