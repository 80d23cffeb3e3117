import { SourceFile } from './source-files';

const OPENS = /\.(transaction|startTransaction|createQueryRunner)\s*\(|['"`]\s*(BEGIN|START TRANSACTION)\b/;

/** Lines that open a transaction by themselves instead of through the one class that narrows and retries it. */
export function transactionsOpenedIn(files: SourceFile[]): string[] {
  return files.flatMap(({ path, text }) =>
    text
      .split('\n')
      .map((line, index) => ({ line, at: `${path}:${index + 1}` }))
      .filter(({ line }) => OPENS.test(line))
      .map(({ line, at }) => `${at} ${line.trim()}`),
  );
}
