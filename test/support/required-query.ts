import type { Contract, Operation } from './contract-check';
import { schemaOf } from './contract-schemas';

/** The parts of the query that an operation cannot do without, with the ids of a world. */
export function requiredQuery(
  contract: Contract,
  { parameters }: Operation,
  ids: Record<string, string>,
): string {
  const required = (parameters ?? []).filter((each) => each.in === 'query' && each.required === true);
  const query = new URLSearchParams();
  for (const { name, schema } of required) {
    const { enum: values, format } = schemaOf(contract, schema);
    const day = name.startsWith('until') ? '2026-12-31' : '2026-12-01';
    query.set(name, ids[name] ?? ((values ?? []) as string[])[0] ?? (format === 'date' ? day : ''));
  }
  return required.length === 0 ? '' : `?${query.toString()}`;
}
