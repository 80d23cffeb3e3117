/** One field that somebody else changed while it was being edited here. */
export interface TheirChange {
  key: string;
  was: unknown;
  theirs: unknown;
  /** what was typed here, where that differs from both: it stays */
  mine: unknown;
  bothChanged: boolean;
}

export interface Merged<Values> {
  values: Values;
  theirChanges: TheirChange[];
}

/** Whether two values of a form say the same; lists and records are compared by what is in them. */
export function sameValue(one: unknown, other: unknown): boolean {
  return JSON.stringify(one) === JSON.stringify(other);
}

/**
 * What a form holds once somebody else has changed the record: what was typed here stays, everything else becomes what
 * it is now.
 */
export function mergeChanges<Values extends object>(
  base: Values,
  mine: Values,
  theirs: Values,
): Merged<Values> {
  const values = { ...mine };
  const theirChanges: TheirChange[] = [];
  for (const key of Object.keys(base) as (keyof Values & string)[]) {
    if (sameValue(base[key], theirs[key])) continue;
    const bothChanged = !sameValue(base[key], mine[key]) && !sameValue(mine[key], theirs[key]);
    if (!bothChanged) values[key] = theirs[key];
    theirChanges.push({ key, was: base[key], theirs: theirs[key], mine: mine[key], bothChanged });
  }
  return { values, theirChanges };
}

/** The fields of a body that are no longer what they were: what a merge patch has to say. */
export function changedFields<Body extends object>(before: Body, after: Body): Partial<Body> {
  const keys = Object.keys(after) as (keyof Body)[];
  const changed: Partial<Body> = {};
  for (const key of keys) if (!sameValue(before[key], after[key])) changed[key] = after[key];
  return changed;
}

/** The body without fields that a change may not name. */
export function without<Body extends object, Key extends keyof Body>(
  body: Body,
  ...keys: readonly Key[]
): Omit<Body, Key> {
  const rest = { ...body };
  for (const key of keys) Reflect.deleteProperty(rest, key);
  return rest;
}
