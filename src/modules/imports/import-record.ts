import type { FieldError } from '../../platform/errors/coded-error';
import type { ImportKind } from './import-kind';
import type { ImportLine } from './import-line.entity';

/** One record of a file, whatever its format: its values by the names of the fields, or what is wrong with it. */
export interface ImportRecord {
  /** line of the file on which it starts; the first is 1 */
  lineNumber: number;
  values: Readonly<Record<string, unknown>> | null;
  errors: FieldError[];
  /** as it stood in the file */
  raw: string;
  /** bytes of the file up to and including this record */
  bytesRead: number;
}

/** A file that can be worked through, or why it cannot as a whole. */
export type OpenedFile =
  | {
      /** first line of a format that has one */
      header: string | null;
      records: AsyncIterable<ImportRecord>;
    }
  | { failure: string };

/** How files of a format are read, and how their rejects are written. */
export interface ImportFormat {
  contentType: string;
  fileEnding: string;
  open: (chunks: AsyncIterable<Buffer>, kind: ImportKind) => Promise<OpenedFile>;
  /** What stands before the rejects in a file of the same format. */
  rejectsHeader: (header: string | null) => Promise<string>;
  /** A line that could not be used, with its problem. */
  reject: (line: ImportLine, header: string | null) => Promise<string>;
}

/** A field that the file of rejects adds; it says what was wrong and is passed over when read again. */
export const PROBLEM_FIELD = 'problem';

export function problemOf({ lineNumber, errors }: ImportLine): string {
  const found = (errors ?? []).map(({ pointer, detail, remedy }) =>
    `${pointer ?? ''} ${detail} ${remedy}`.trim(),
  );
  return `line ${lineNumber}: ${found.join('; ')}`;
}
