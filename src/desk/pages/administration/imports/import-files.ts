import type { paths } from '../../../generated/contract';
import type { Schemas } from '../../../api/client';

export type ImportKind = Schemas['ImportKindDto'];
export type ImportFormat = Schemas['ImportDto']['format'];

const MEDIA_TYPES = { csv: 'text/csv', ndjson: 'application/x-ndjson' } as const;

/** The format of a file by its name; null for none that can be handed over. */
export function formatOf(fileName: string): ImportFormat | null {
  const ending = fileName.toLowerCase().split('.').at(-1);
  if (ending === 'csv') return 'csv';
  return ending === 'ndjson' || ending === 'jsonl' ? 'ndjson' : null;
}

export const mediaTypeOf = (format: ImportFormat): (typeof MEDIA_TYPES)[ImportFormat] => MEDIA_TYPES[format];

/** A file with the columns of a kind and no records: required ones first, as CSV where all its columns can be. */
export function templateOf({ kind, columns }: ImportKind): { name: string; text: string; mediaType: string } {
  const flat = columns.filter(({ type }) => type !== 'nested').map(({ name }) => name);
  return { name: `${kind}.csv`, text: `${flat.join(',')}\r\n`, mediaType: MEDIA_TYPES.csv };
}

/** Whether CSV has no column for something that every record of the kind needs. */
export const needsNdjson = ({ columns }: ImportKind): boolean =>
  columns.some(({ type, required }) => type === 'nested' && required);

export type ExportPath = Extract<keyof paths, `/v1/exports/${string}`>;

// kinds whose records on file can be had in the same columns
const EXPORTS: Partial<Record<ImportKind['kind'], ExportPath>> = {
  vehicles: '/v1/exports/vehicles',
  'duty-changes': '/v1/exports/duty-changes',
  'hydraulic-layouts': '/v1/exports/hydraulic-layouts',
  'odometer-replacements': '/v1/exports/odometer-replacements',
  'off-road-periods': '/v1/exports/off-road-periods',
  'odometer-readings': '/v1/exports/odometer-readings',
  'service-history': '/v1/exports/service-history',
  'gas-units': '/v1/exports/gas-units',
  'unit-placements': '/v1/exports/unit-placements',
  'unit-tests': '/v1/exports/unit-tests',
};

/** Where what is on file of a kind can be had; null for kinds that are not given out. */
export const exportOf = ({ kind }: ImportKind): ExportPath | null => EXPORTS[kind] ?? null;

/** How much of the file has been worked through, 0 to 1. */
export function progressOf({
  state,
  byteCount,
  bytesRead,
}: Pick<Schemas['ImportDto'], 'state' | 'byteCount' | 'bytesRead'>): number {
  if (state === 'finished') return 1;
  return byteCount === 0 ? 0 : Math.min(1, bytesRead / byteCount);
}

export const isUnderWay = ({ state }: Pick<Schemas['ImportDto'], 'state'>): boolean =>
  state === 'uploading' || state === 'queued' || state === 'running';
