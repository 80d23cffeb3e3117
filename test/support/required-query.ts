import type { Contract, Operation } from './contract-check';
import { schemaOf } from './contract-schemas';

/** What whoever may carry out the operation at all may do with it. */
const OPEN_TO_ALL: Readonly<Record<string, string>> = { kind: 'odometer-readings' };

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
    const listed = (values ?? []) as string[];
    const open = OPEN_TO_ALL[name] ?? '';
    const value = listed.includes(open) ? open : listed[0];
    query.set(name, ids[name] ?? value ?? (format === 'date' ? day : ''));
  }
  return required.length === 0 ? '' : `?${query.toString()}`;
}
