import type { RowSum } from './counted-rows';

// A backup is a script of COPY statements, as pg_dump writes them for data alone, packed with gzip: a person can look
// at it with zcat. What restoring needs to know stands in comments, as JSON.

export const FORMAT = 1;

/** The first line: what the rows belong to. */
export interface BackupHeader {
  format: number;
  takenAt: string;
  serverVersion: string;
  /** timestamps of the migrations that made the schema */
  migrations: string[];
  /** where the order of changes stood: every change before it is in the backup */
  settledBefore: string;
  /** tells whether the secret is the one that the data were written with, without telling it */
  secretFingerprint: string;
}

/** After the rows of each table. */
export interface TableSum extends RowSum {
  table: string;
}

/** A counter, where it stood. */
export interface SequenceState {
  sequence: string;
  lastValue: string;
  isCalled: boolean;
}

/** Background work that was waiting or under way. */
export interface PendingJob {
  queue: string;
  id: string;
  data: object | null;
  priority: number;
  startAfter: string;
  singletonKey: string | null;
}

/** The last line: whatever misses it is cut off. */
export interface BackupEnd {
  tables: number;
  rows: number;
  jobs: number;
}

export const TITLE = '-- precharge backup';
export const END_OF_ROWS = '\\.';

/** A comment line that carries JSON: `-- table {…}`. */
export function remark(kind: 'header' | 'table' | 'sequence' | 'job' | 'end', content: object): string {
  return `-- ${kind} ${JSON.stringify(content)}\n`;
}
