import type { CsvCell } from '../csv/write-csv';

type Schema = Record<string, unknown>;

/** Schemas of the contract by name. */
export type Schemas = Readonly<Record<string, Schema>>;

/** A column of an exported list: its name, and where in an item its value stands. */
export interface ListColumn {
  name: string;
  path: readonly string[];
}

/**
 * The columns of a list as its contract says them: the id, then the rest in the order of the fields. The fields of a record within the item
 * become columns of their own, `kept.value`; lists, and records whose fields are not fixed, stay together in one.
 */
export function listColumns(item: Schema, schemas: Schemas): ListColumn[] {
  const columns = columnsOf(item, schemas, [], new Set());
  return columns.sort((one, other) => Number(other.name === 'id') - Number(one.name === 'id'));
}

function columnsOf(
  schema: Schema,
  schemas: Schemas,
  path: readonly string[],
  within: ReadonlySet<Schema>,
): ListColumn[] {
  const record = recordIn(schema, schemas);
  // a record that contains its own kind has no end
  if (record === null || within.has(record)) return [{ name: path.join('.'), path }];
  const fields = Object.entries((record.properties ?? {}) as Schemas);
  return fields.flatMap(([name, field]) =>
    columnsOf(field, schemas, [...path, name], new Set([...within, record])),
  );
}

/** The record that a schema stands for, or null where it stands for a single value, a list or a choice. */
function recordIn(schema: Schema, schemas: Schemas): Schema | null {
  if (typeof schema.$ref === 'string') {
    return recordIn(schemas[schema.$ref.split('/').at(-1) ?? ''] ?? {}, schemas);
  }
  // the generator writes a reference with a description, and one that may be null, as a choice of one
  const choices = ((schema.allOf ?? schema.anyOf ?? []) as Schema[]).filter(({ type }) => type !== 'null');
  if (choices.length === 1 && choices[0] !== undefined) return recordIn(choices[0], schemas);
  return schema.properties === undefined ? null : schema;
}

/** The cells of an item. A list or a record within one cell is written as JSON. */
export function cellsOf(item: unknown, columns: readonly ListColumn[]): CsvCell[] {
  return columns.map(({ path }) => {
    const value = path.reduce<unknown>(
      (part, name) => (typeof part === 'object' && part !== null ? (part as Schema)[name] : undefined),
      item,
    );
    return typeof value === 'object' && value !== null ? JSON.stringify(value) : (value as CsvCell);
  });
}
