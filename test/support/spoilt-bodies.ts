import type { Place, Schema } from './contract-schemas';

/** A value that a field must not take. */
export interface Fault {
  what: string;
  /** the whole body as JSON text */
  text: string;
}

/** A body with a value at a place, whatever has to be made around it. */
export function placedIn(body: unknown, path: readonly (string | number)[], value: unknown): unknown {
  const [head, ...rest] = path;
  if (head === undefined) return value;
  if (typeof head === 'number') {
    const list = Array.isArray(body) ? [...(body as unknown[])] : [];
    list[head] = placedIn(list[head], rest, value);
    return list;
  }
  const fields = typeof body === 'object' && body !== null ? (body as Record<string, unknown>) : {};
  return { ...fields, [head]: placedIn(fields[head], rest, value) };
}

function without(body: unknown, path: readonly (string | number)[]): unknown {
  const [head, ...rest] = path;
  if (head === undefined) return undefined;
  if (Array.isArray(body)) {
    return body.map((each: unknown, index) => (index === head ? without(each, rest) : each));
  }
  const fields = (body ?? {}) as Record<string, unknown>;
  if (rest.length > 0) return { ...fields, [head]: without(fields[head], rest) };
  return Object.fromEntries(Object.entries(fields).filter(([name]) => name !== head));
}

const WRONG_TYPES: Record<string, unknown[]> = {
  string: [12345, true, {}, ['x']],
  number: ['12', true, {}, [1]],
  integer: ['12', true, {}, 1.5],
  boolean: ['true', 1, {}],
  array: ['x', 5, {}],
  object: ['x', 5, []],
};

const MALFORMED: Record<string, string[]> = {
  uuid: ['not-a-uuid', '00000000-0000-0000-0000-00000000000g', ''],
  // 2026 is no leap year
  date: ['2026-02-29', '2026-13-01', '25/11/2026', '2026-11-25T00:00:00Z', '0001-01-01', 'today'],
  'date-time': ['2026-11-25T10:00:00', '2026-02-30T10:00:00Z', '2026-11-25', '9999-01-01T00:00:00Z', 'now'],
};

const HUGE = '__1e400__';

/** Everything that a field must not be, by its schema. */
export function faultsOf(body: unknown, { path, schema, required }: Place): Fault[] {
  const faults: Fault[] = [];
  const add = (what: string, value: unknown): void => {
    // a number beyond all bounds can only be written, not held
    const text = JSON.stringify(placedIn(body, path, value)).replace(`"${HUGE}"`, '1e400');
    faults.push({ what, text });
  };
  for (const type of schema.types) {
    for (const value of WRONG_TYPES[type] ?? []) add(`${JSON.stringify(value)} for a ${type}`, value);
  }
  if (!schema.nullable) add('null', null);
  // where it would stand in something that is not there, nothing is amiss without it
  const isWanted = required && (path.length === 0 || isObject(valueAt(body, path.slice(0, -1))));
  if (isWanted) faults.push({ what: 'nothing', text: JSON.stringify(without(body, path)) });
  if (schema.types.includes('string')) addTextFaults(schema, add);
  if (schema.types.some((type) => type === 'number' || type === 'integer')) {
    if (schema.minimum !== undefined) add('too little', schema.minimum - 1);
    if (schema.maximum !== undefined) add('too much', schema.maximum + 1);
    add('a number beyond all bounds', HUGE);
  }
  if (schema.types.includes('array')) addListFaults(schema, add);
  if (schema.types.includes('object') && schema.others === false) {
    add('an unknown field', { ...(valueAt(body, path) as object | undefined), notAField: 1 });
  }
  return faults;
}

function addTextFaults(schema: Schema, add: (what: string, value: unknown) => void): void {
  if (schema.enum !== undefined) {
    add('a value that is not in the list', 'no-such-value');
    return;
  }
  for (const value of MALFORMED[schema.format ?? ''] ?? [])
    add(`${value} for a ${schema.format ?? ''}`, value);
  if (schema.format !== undefined) return;
  const { pattern, minLength = 0, maxLength } = schema;
  if (pattern !== undefined) {
    const refused = ['Not A Code', '-a', 'a--b', 'ä', ''].filter(
      (text) => !new RegExp(pattern, 'u').test(text),
    );
    for (const text of refused) add(`"${text}" against the pattern`, text);
  }
  if (minLength > 0) add('too short a text', 'a'.repeat(minLength - 1));
  if (maxLength !== undefined) add('too long a text', 'a'.repeat(maxLength + 1));
  // PostgreSQL cannot store the character U+0000 in a text
  const filling = 'b'.repeat(Math.max(0, minLength - 2));
  add('a text with U+0000', `a\u0000${filling}`);
  // nor half a surrogate pair in JSON
  add('a text with half a surrogate pair', `a\ud800${filling}`);
}

function addListFaults(schema: Schema, add: (what: string, value: unknown) => void): void {
  const item = schema.items?.enum?.[0] ?? (schema.items?.types.includes('object') === true ? {} : 'a-value');
  if (schema.maxItems !== undefined)
    add(
      'too long a list',
      Array.from({ length: schema.maxItems + 1 }, () => item),
    );
  if ((schema.minItems ?? 0) > 0) add('too short a list', []);
  if (schema.uniqueItems) add('a list with the same twice', [item, item]);
}

const isObject = (value: unknown): boolean => typeof value === 'object' && value !== null;

function valueAt(body: unknown, path: readonly (string | number)[]): unknown {
  return path.reduce<unknown>(
    (inside, part) => (inside as Record<string | number, unknown> | undefined)?.[part],
    body,
  );
}
