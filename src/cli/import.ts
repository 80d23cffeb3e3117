import { writeFileSync } from 'node:fs';
import { basename, extname } from 'node:path';
import { parseArgs } from 'node:util';
import { SingleBar } from 'cli-progress';
import { importFormats } from '../modules/imports/import-formats';
import { importKindNames } from '../modules/imports/import-kind';
import { ApiClient } from './api-client';
import { importFile } from './import-file';

const USAGE = `npm run import -- --kind <kind> [--dry-run] [--url http://127.0.0.1:3000] <file.csv | file.ndjson>
  kinds: ${importKindNames.join(', ')}
  The key is taken from PRECHARGE_KEY. A file whose name ends with .ndjson has a JSON object on each line,
  any other is CSV. Lines that could not be used are written to <file>.rejects.csv or <file>.rejects.ndjson.`;

async function main(): Promise<void> {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: {
      kind: { type: 'string' },
      'dry-run': { type: 'boolean', default: false },
      url: { type: 'string', default: process.env.PRECHARGE_URL ?? 'http://127.0.0.1:3000' },
    },
  });
  const [file] = positionals;
  const key = process.env.PRECHARGE_KEY;
  if (file === undefined || values.kind === undefined || key === undefined) throw new Error(USAGE);
  const format = extname(file).toLowerCase() === '.ndjson' ? 'ndjson' : 'csv';
  const api = new ApiClient(values.url, key);
  const bar = new SingleBar({
    format: '{bar} {percentage} %  line {line}  {rejected} rejected',
    clearOnComplete: false,
  });
  bar.start(1, 0, { line: 0, rejected: 0 });
  const record = await importFile(
    api,
    { kind: values.kind, fileName: basename(file), content: { file }, dryRun: values['dry-run'], format },
    ({ byteCount, bytesRead, linesRead, linesRejected }) => {
      bar.setTotal(Math.max(1, byteCount));
      bar.update(bytesRead, { line: linesRead, rejected: linesRejected });
    },
  );
  bar.stop();
  if (record.failure !== null) throw new Error(record.failure);
  const would = record.dryRun ? ' would be' : '';
  console.log(
    `${record.linesCreated}${would} created, ${record.linesUpdated}${would} updated, ` +
      `${record.linesUnchanged} known already, ${record.linesRejected} rejected.`,
  );
  if (record.linesRejected > 0) {
    const rejects = `${file}.rejects.${importFormats[format].fileEnding}`;
    writeFileSync(rejects, await api.getText(`/v1/imports/${record.id}/rejects`));
    console.log(`What is wrong with the rejected lines stands in ${rejects}.`);
  }
}

main().catch((error: unknown) => {
  console.error(error instanceof Error ? error.message : error);
  process.exit(1);
});
