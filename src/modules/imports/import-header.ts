import { unguardFormula } from '../../platform/csv/formula-guard';
import type { ImportColumn } from './import-kind';
import { PROBLEM_FIELD } from './import-record';

export type HeaderCheck = { columns: (ImportColumn | null)[] } | { failure: string };

/** Finds the columns of a file by their names, in whatever order; null stands for one that is passed over. */
export function checkHeader(names: readonly string[], known: readonly ImportColumn[]): HeaderCheck {
  const trimmed = names.map((name) => name.trim());
  const accepted = known.map(({ name }) => name).join(', ');
  const twice = trimmed.find((name, index) => trimmed.indexOf(name) !== index);
  if (twice !== undefined) return { failure: `The header names the column "${twice}" twice.` };
  const unknown = trimmed.filter(
    (name) => name !== PROBLEM_FIELD && !known.some((column) => column.name === name),
  );
  if (unknown.length > 0) {
    return { failure: `The header has unknown columns: ${unknown.join(', ')}. Known are: ${accepted}.` };
  }
  const missing = known.filter(({ name, required }) => required && !trimmed.includes(name));
  if (missing.length > 0) {
    return {
      failure: `The header lacks ${missing.map(({ name }) => name).join(', ')}. Known columns are: ${accepted}.`,
    };
  }
  return { columns: trimmed.map((name) => known.find((column) => column.name === name) ?? null) };
}

/** The values of a record by column. An empty cell is null; a number that is none stays text, to be refused. */
export function valuesOf(
  fields: readonly string[],
  columns: readonly (ImportColumn | null)[],
): Record<string, string | number | boolean | null> {
  const values: Record<string, string | number | boolean | null> = {};
  for (const [index, column] of columns.entries()) {
    if (column === null) continue;
    const text = unguardFormula((fields[index] ?? '').trim()).trim();
    values[column.name] = text === '' ? null : valueOf(text, column.type);
  }
  return values;
}

function valueOf(text: string, type: ImportColumn['type']): string | number | boolean {
  if (type === 'number' && /^[+-]?\d+(\.\d+)?$/.test(text)) return Number(text);
  if (type === 'boolean' && /^(true|false)$/.test(text)) return text === 'true';
  return text;
}
