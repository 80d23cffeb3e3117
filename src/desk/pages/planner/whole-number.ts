/** What was typed as a whole number within its bounds; null where it is none. */
export function wholeNumber(text: string, least: number, most: number): number | null {
  const plain = text.trim().replace('\u2212', '-');
  if (!/^[-+]?\d{1,9}$/.test(plain)) return null;
  const value = Number(plain);
  return least <= value && value <= most ? value : null;
}
