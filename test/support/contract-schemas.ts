import type { Contract, Operation } from './contract-check';

/** What the tests look at of a schema, references followed and `null` told apart. */
export interface Schema {
  /** JSON types without `null` */
  types: string[];
  nullable: boolean;
  format?: string;
  enum?: unknown[];
  constant?: unknown;
  pattern?: string;
  minLength?: number;
  maxLength?: number;
  minimum?: number;
  maximum?: number;
  minItems?: number;
  maxItems?: number;
  uniqueItems: boolean;
  items?: Schema;
  properties: Record<string, Schema>;
  required: string[];
  /** schema of members that have no name of their own; false where there are none */
  others: Schema | boolean;
}

type Raw = Record<string, unknown>;

/** Reads a schema of the contract as tests want it. Schemas that contain themselves are not expected. */
export function schemaOf(contract: Contract, raw: Raw): Schema {
  const { merged, nullable } = merge(contract, raw);
  const types = [merged.type ?? []].flat() as string[];
  const of = (part: unknown): Schema => schemaOf(contract, part as Raw);
  const others = merged.additionalProperties;
  return {
    types: types.filter((type) => type !== 'null'),
    nullable: nullable || types.includes('null'),
    format: merged.format as string | undefined,
    enum: (merged.enum as unknown[] | undefined)?.filter((value) => value !== null),
    constant: merged.const,
    pattern: merged.pattern as string | undefined,
    minLength: merged.minLength as number | undefined,
    maxLength: merged.maxLength as number | undefined,
    minimum: merged.minimum as number | undefined,
    maximum: merged.maximum as number | undefined,
    minItems: merged.minItems as number | undefined,
    maxItems: merged.maxItems as number | undefined,
    uniqueItems: merged.uniqueItems === true,
    items: merged.items === undefined ? undefined : of(merged.items),
    properties: Object.fromEntries(
      Object.entries((merged.properties ?? {}) as Record<string, Raw>).map(([name, part]) => [
        name,
        of(part),
      ]),
    ),
    required: (merged.required ?? []) as string[],
    others: typeof others === 'object' && others !== null ? of(others) : others !== false,
  };
}

function merge(contract: Contract, raw: Raw): { merged: Raw; nullable: boolean } {
  const { $ref, allOf, anyOf, ...rest } = raw;
  let merged: Raw = {};
  let nullable = false;
  const parts: Raw[] = [...((allOf ?? []) as Raw[])];
  if (typeof $ref === 'string') {
    const name = $ref.replace('#/components/schemas/', '');
    const target = contract.components.schemas[name];
    if (target === undefined) throw new Error(`the contract has no schema ${name}`);
    parts.push(target);
  }
  if (Array.isArray(anyOf)) {
    const choices = (anyOf as Raw[]).filter((choice) => choice.type !== 'null');
    nullable = choices.length < anyOf.length;
    if (choices.length !== 1) throw new Error(`a choice of schemas is not expected: ${JSON.stringify(raw)}`);
    parts.push(...choices);
  }
  for (const part of parts) {
    const inner = merge(contract, part);
    merged = { ...merged, ...inner.merged };
    nullable ||= inner.nullable;
  }
  return { merged: { ...merged, ...rest }, nullable };
}

/** The JSON body that an operation takes, or null. */
export function bodySchemaOf(contract: Contract, operation: Operation): Schema | null {
  const raw = operation.requestBody?.content['application/json']?.schema;
  return raw === undefined ? null : schemaOf(contract, raw);
}

/** A place in a body: the path to it, as it is written in a JSON pointer. */
export interface Place {
  path: (string | number)[];
  schema: Schema;
  required: boolean;
}

/** Every field of a body, those of objects and lists inside included. */
export function placesOf(schema: Schema, path: (string | number)[] = []): Place[] {
  const inside = Object.entries(schema.properties).flatMap(([name, property]) => [
    { path: [...path, name], schema: property, required: schema.required.includes(name) },
    ...placesOf(property, [...path, name]),
  ]);
  if (typeof schema.others === 'object') {
    const name = 'any-name';
    inside.push({ path: [...path, name], schema: schema.others, required: false });
  }
  if (schema.items === undefined) return inside;
  const item = { path: [...path, 0], schema: schema.items, required: false };
  return [...inside, item, ...placesOf(schema.items, [...path, 0])];
}

export const pointerOf = (path: (string | number)[]): string => ['#', ...path].join('/');
