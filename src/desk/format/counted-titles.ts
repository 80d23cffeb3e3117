/** The work of a visit, each kind once with how often it is done, such as at four gas units. */
export function countedTitles(items: readonly { title: string }[]): { title: string; count: number }[] {
  const counts = new Map<string, number>();
  for (const { title } of items) counts.set(title, (counts.get(title) ?? 0) + 1);
  return [...counts].map(([title, count]) => ({ title, count }));
}
