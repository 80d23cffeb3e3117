import { text, textWidth, type Shape } from './shapes';

/** A symbol and what it stands for. */
export interface KeyEntry {
  readonly words: string;
  readonly symbolWidth: number;
  readonly symbol: (left: number, middle: number) => Shape[];
}

const BESIDE_SYMBOL = 5;
const BETWEEN_ENTRIES = 12;

/** The entries side by side. */
export function keyRow(entries: readonly KeyEntry[], left: number, middle: number): Shape[] {
  let x = left;
  return entries.flatMap(({ words, symbolWidth, symbol }) => {
    const symbolAt = x;
    const wordsAt = x + symbolWidth + BESIDE_SYMBOL;
    x = wordsAt + textWidth(words) + BETWEEN_ENTRIES;
    return [...symbol(symbolAt, middle), text(wordsAt, middle, words)];
  });
}
