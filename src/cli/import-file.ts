import { setTimeout as sleep } from 'node:timers/promises';
import type { ImportDto } from '../modules/imports/dto/import.dto';
import { importFormats, type ImportFormatName } from '../modules/imports/import-formats';
import type { ApiClient } from './api-client';

export interface FileToImport {
  kind: string;
  fileName: string;
  content: { file: string } | { text: string };
  dryRun: boolean;
  /** CSV unless said otherwise */
  format?: ImportFormatName;
}

/** Hands a file over and follows the import until it has ended. */
export async function importFile(
  api: ApiClient,
  { kind, fileName, content, dryRun, format = 'csv' }: FileToImport,
  onProgress: (record: ImportDto) => void,
): Promise<ImportDto> {
  const query = new URLSearchParams({ kind, dryRun: String(dryRun), fileName });
  let record = await api.upload<ImportDto>(
    `/v1/imports?${query.toString()}`,
    content,
    importFormats[format].contentType,
  );
  for (;;) {
    onProgress(record);
    if (record.state === 'finished' || record.state === 'failed' || record.state === 'cancelled')
      return record;
    await sleep(100);
    record = await api.get<ImportDto>(`/v1/imports/${record.id}`);
  }
}
