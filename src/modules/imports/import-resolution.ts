import { plainToInstance, type ClassConstructor } from 'class-transformer';
import { validateSync } from 'class-validator';
import { bulkRejected, type BulkResult } from '../../platform/bulk/bulk-result';
import type { FieldError } from '../../platform/errors/coded-error';
import { fieldErrors } from '../../platform/http/validation.pipe';
import type { BatchOutcome, ImportColumn, ImportKind } from './import-kind';

/** Writes the rows whose keys are known and puts the refusals of the others back in their places. */
export async function writeResolved<Line, Row extends object>(
  lines: readonly Line[],
  resolve: (line: Line) => Row | FieldError,
  write: (rows: Row[]) => Promise<BulkResult[]>,
  vehicleOf: (line: Line, result: BulkResult) => string | null,
): Promise<BatchOutcome> {
  const resolved = lines.map(resolve);
  const written = await write(resolved.filter((row): row is Row => !isFieldError(row)));
  const vehicleIds = new Set<string>();
  let next = 0;
  const results = resolved.map((row, index) => {
    if (isFieldError(row)) return bulkRejected(row);
    const result = written[next++];
    const line = lines[index];
    if (result === undefined || line === undefined)
      throw new Error('a batch was answered with too few results');
    const vehicleId = vehicleOf(line, result);
    if (vehicleId !== null && (result.outcome === 'created' || result.outcome === 'updated'))
      vehicleIds.add(vehicleId);
    return result;
  });
  return { results, vehicleIds: [...vehicleIds] };
}

// `name!` is a column that a file must have
export function columns(
  required: string,
  optional: string,
  numbers = '',
  more: { booleans?: string; nested?: string } = {},
): ImportColumn[] {
  const of = (names: string, type: ImportColumn['type']): ImportColumn[] =>
    names
      .split(' ')
      .filter((name) => name !== '')
      .map((name) => ({ name: name.replace('!', ''), type, required: name.endsWith('!') }));
  return [
    ...of(required, 'text'),
    ...of(optional, 'text'),
    ...of(numbers, 'number'),
    ...of(more.booleans ?? '', 'boolean'),
    ...of(more.nested ?? '', 'nested'),
  ];
}

/** @param mayBeAbsent fields that may be left out but not be null, as which an empty cell is read */
export function checkAs<Line extends object>(
  type: ClassConstructor<Line>,
  mayBeAbsent = '',
): ImportKind['check'] {
  const notNull = new Set(mayBeAbsent.split(' '));
  return (values) => {
    const given = Object.entries(values).filter(([name, value]) => value !== null || !notNull.has(name));
    const line = plainToInstance(type, Object.fromEntries(given));
    const errors = fieldErrors(validateSync(line, { forbidUnknownValues: true }));
    return errors.length > 0 ? { errors } : { row: { ...line } };
  };
}

function isFieldError(row: object): row is FieldError {
  return 'remedy' in row && 'detail' in row;
}

export function unknownKey(column: string, key: string, what: string): FieldError {
  return {
    pointer: `#/${column}`,
    detail: `There is no ${what} with the key "${key}".`,
    remedy: `correct the key, or add the ${what} first`,
  };
}

export function byKey<T extends { externalKey: string | null }>(records: readonly T[]): Map<string, T> {
  return new Map(records.map((record) => [record.externalKey ?? '', record]));
}

export function distinct(keys: readonly string[]): string[] {
  return [...new Set(keys)];
}
