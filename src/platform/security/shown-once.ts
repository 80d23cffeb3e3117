/**
 * Hands out a secret that a transaction makes, beside its answer: the answer is stored for repetitions of the
 * request, and a secret must not be. A repetition makes no second secret and shows none.
 *
 * @param named the member of the answer that names the secret: an attempt of the transaction that was rolled
 *   back has left one that does not exist
 * @param write the transaction; tells each secret that it makes, with its name
 */
export async function shownOnce<Member extends string, T extends Record<Member, string>>(
  named: Member,
  write: (show: (name: string, secret: string) => void) => Promise<T>,
): Promise<{ answer: T; secret: string | null }> {
  const made = new Map<string, string>();
  const answer = await write((name, secret) => made.set(name, secret));
  return { answer, secret: made.get(answer[named]) ?? null };
}
