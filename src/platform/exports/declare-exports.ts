import type { OpenAPIObject } from '@nestjs/swagger';
import { listColumns, type ListColumn, type Schemas } from './list-columns';
import { NOT_EXPORTED } from './not-exported';

type Json = Record<string, unknown>;

export const CSV = 'text/csv';
export const NDJSON = 'application/x-ndjson';

/** A list as it is exported. */
export interface ExportedList {
  columns: readonly ListColumn[];
  /** it comes in pages */
  paged: boolean;
}

const EXPORT_HEADERS = {
  'Record-Count': {
    description: 'Of an export: how many records it has, the header of a CSV file not counted.',
    schema: { type: 'integer', minimum: 0 },
  },
  'Repr-Digest': {
    description: 'Of an export: the SHA-256 of the whole file (RFC 9530).',
    schema: { type: 'string', maxLength: 100 },
  },
};

/** Says in the contract of every list that it is given whole as CSV and NDJSON too. */
export function declareExports(document: OpenAPIObject): void {
  const schemas = (document.components?.schemas ?? {}) as Schemas;
  for (const item of Object.values(document.paths)) {
    const operation = item.get as Json | undefined;
    if (operation === undefined || operation[NOT_EXPORTED] !== undefined) continue;
    const response = (operation.responses as Record<string, Json>)['200'];
    const content = response?.content as Record<string, Json> | undefined;
    if (response === undefined || content === undefined || itemOf(content, schemas) === null) continue;
    content[CSV] = { schema: { type: 'string' } };
    content[NDJSON] = { schema: { type: 'string' } };
    response.headers = { ...(response.headers as Json | undefined), ...EXPORT_HEADERS };
  }
}

/** The exported lists of a contract by the name of their operation. */
export function exportedListsOf(document: OpenAPIObject): Map<string, ExportedList> {
  const schemas = (document.components?.schemas ?? {}) as Schemas;
  const lists = new Map<string, ExportedList>();
  for (const { get: operation } of Object.values(document.paths)) {
    const content = (operation?.responses['200'] as Json | undefined)?.content as
      Record<string, Json> | undefined;
    const item = content?.[NDJSON] === undefined ? null : itemOf(content, schemas);
    if (operation?.operationId === undefined || item === null) continue;
    const paged = (operation.parameters ?? []).some((each) => 'name' in each && each.name === 'cursor');
    lists.set(operation.operationId, { columns: listColumns(item, schemas), paged });
  }
  return lists;
}

/** The schema of what an answer lists under `items`, or null where it is no list: a record can have items, too. */
function itemOf(content: Record<string, Json>, schemas: Schemas): Json | null {
  const { $ref } = (content['application/json']?.schema ?? {}) as { $ref?: string };
  const page = schemas[$ref?.split('/').at(-1) ?? ''];
  const { id, items } = (page?.properties ?? {}) as Record<string, Json>;
  return id === undefined && items?.type === 'array' ? (items.items as Json) : null;
}
