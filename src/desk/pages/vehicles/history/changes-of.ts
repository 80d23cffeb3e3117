interface Change {
  field: string;
  /** null where there was nothing */
  from: string | null;
  /** null where there is nothing any more */
  to: string | null;
}

type Recorded = object | null;

// they change with every write
const NOT_TOLD = ['revision', 'updatedAt', 'createdAt'];

/** What an entry of the audit trail says has changed, field by field. */
export function changesOf(before: Recorded, after: Recorded): Change[] {
  const [was, is] = [new Map(Object.entries(before ?? {})), new Map(Object.entries(after ?? {}))];
  return [...new Set([...was.keys(), ...is.keys()])]
    .filter((field) => !NOT_TOLD.includes(field))
    .map((field) => ({ field, from: textOf(was.get(field)), to: textOf(is.get(field)) }))
    .filter(({ from, to }) => from !== to);
}

function textOf(value: unknown): string | null {
  if (value === null || value === undefined) return null;
  return typeof value === 'string' ? value : JSON.stringify(value);
}
