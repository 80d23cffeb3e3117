/** Where a chain ended when it was noted. */
export interface NotedHead {
  position: number;
  hash: string;
}

/**
 * Reads heads that were noted: a JSON object on each line, as `audit:heads` and this page write them, or one line
 * `position hash`.
 *
 * @returns the heads, or the number of the first line that is none
 */
export function notedHeads(text: string): { heads: NotedHead[] } | { badLine: number } {
  const heads: NotedHead[] = [];
  for (const [index, line] of text.split(/\r?\n/).entries()) {
    if (line.trim() === '') continue;
    const head = headOf(line.trim());
    if (head === null) return { badLine: index + 1 };
    heads.push(head);
  }
  return { heads };
}

function headOf(line: string): NotedHead | null {
  const short = /^(\d+)\s+([0-9a-f]{64})$/i.exec(line);
  if (short !== null) return { position: Number(short[1]), hash: String(short[2]).toLowerCase() };
  try {
    const { position, hash } = JSON.parse(line) as Partial<NotedHead>;
    return typeof position === 'number' && typeof hash === 'string' && /^[0-9a-f]{64}$/.test(hash)
      ? { position, hash }
      : null;
  } catch {
    return null; // said by the caller, with the line
  }
}
