/** The work of a visit, each kind once with how often it is done, such as at four gas units. */
export function countedTitles(items: readonly { title: string }[]): { title: string; count: number }[] {
  const counts = new Map<string, number>();
  for (const { title } of items) counts.set(title, (counts.get(title) ?? 0) + 1);
  return [...counts].map(([title, count]) => ({ title, count }));
}

/** The same as text, such as `Test the precharge of the suspension unit (4)`. */
export function countedTitleTexts(items: readonly { title: string }[]): string[] {
  return countedTitles(items).map(({ title, count }) => (count === 1 ? title : `${title} (${count})`));
}
