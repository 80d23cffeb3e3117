import { closeSync, existsSync, fstatSync, openSync, readSync, renameSync, statSync } from 'node:fs';

export interface ServerLog {
  readonly fd: number;
  lastLines(): string[];
  close(): void;
}

const ROTATE_BYTES = 10_000_000;
const LINES = 12;

export function openServerLog(dataDir: string): ServerLog {
  const path = `${dataDir}.log`;
  if (existsSync(path) && statSync(path).size > ROTATE_BYTES) renameSync(path, `${path}.1`);
  const fd = openSync(path, 'a+', 0o600);
  // Only what this start writes: an error of last week would be misleading.
  const start = fstatSync(fd).size;
  return {
    fd,
    lastLines() {
      const bytes = Buffer.alloc(fstatSync(fd).size - start);
      readSync(fd, bytes, 0, bytes.length, start);
      return lastLinesOf(bytes.toString('utf8'));
    },
    close: () => closeSync(fd),
  };
}

export function lastLinesOf(text: string): string[] {
  return text
    .split('\n')
    .filter((line) => line.trim() !== '')
    .slice(-LINES);
}
