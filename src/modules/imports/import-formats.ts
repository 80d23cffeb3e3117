import { csvFormat } from './csv-format';
import type { ImportFormat } from './import-record';
import { ndjsonFormat } from './ndjson-format';

export const importFormatNames = ['csv', 'ndjson'] as const;
export type ImportFormatName = (typeof importFormatNames)[number];

export const importFormats: Readonly<Record<ImportFormatName, ImportFormat>> = {
  csv: csvFormat,
  ndjson: ndjsonFormat,
};

/** The format of a file by its media type, parameters aside; null for none that is read here. */
export function importFormatOf(contentType: string | undefined): ImportFormatName | null {
  const mediaType = contentType?.split(';')[0]?.trim().toLowerCase();
  return importFormatNames.find((name) => importFormats[name].contentType === mediaType) ?? null;
}
