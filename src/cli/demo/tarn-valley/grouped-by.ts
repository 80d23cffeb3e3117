/** The values that share a key, in their own order; keys in the order of their first value. */
export function groupedBy<K, V>(values: readonly V[], keyOf: (value: V) => K): Map<K, V[]> {
  const groups = new Map<K, V[]>();
  for (const value of values) {
    const key = keyOf(value);
    const group = groups.get(key);
    if (group) group.push(value);
    else groups.set(key, [value]);
  }
  return groups;
}
