import { textWidth } from '../../platform/pictures/shapes';

/** A text beside a place on the horizontal axis. */
export interface RowLabel {
  readonly x: number;
  readonly text: string;
}

export interface PlacedLabel extends RowLabel {
  /** Left end of the text. */
  readonly left: number;
  /** 0 is nearest to the plot; null where no row has room. */
  readonly row: number | null;
}

const GAP = 4;

/**
 * Gives each label a row so that no two overlap. A label stands in row 0 beside the line or mark that it
 * belongs to, or in a row further from the plot; its line then crosses no other label. From right to left, as
 * most texts stand to the right of their line: crowded ones become a staircase.
 *
 * @param anchor half the width of the lines or marks
 * @param span left and right end of the room for texts
 */
export function placeInRows(
  labels: readonly RowLabel[],
  rows: number,
  anchor: number,
  [from, to]: readonly [number, number],
): PlacedLabel[] {
  const taken = labels.map(({ x }, owner) => ({ owner, row: 0, from: x - anchor, to: x + anchor }));
  const placed = labels.map((label): PlacedLabel => ({ ...label, left: label.x, row: null }));
  const fromRight = labels.map((label, owner) => ({ label, owner })).sort((a, b) => b.label.x - a.label.x);
  for (const { label, owner } of fromRight) {
    const isFree = (row: number, left: number, right: number): boolean =>
      taken.every(
        (other) => other.owner === owner || other.row !== row || right <= other.from || other.to <= left,
      );
    const width = textWidth(label.text);
    const places = [label.x + anchor + GAP, label.x - anchor - GAP - width].filter(
      (left) => left >= from && left + width <= to,
    );
    for (let row = 0; row < rows; row++) {
      const below = Array.from({ length: row }, (_, index) => index);
      if (!below.every((index) => isFree(index, label.x - anchor, label.x + anchor))) break;
      const left = places.find((place) => isFree(row, place - GAP, place + width + GAP));
      if (left === undefined) continue;
      taken.push({ owner, row, from: left - GAP, to: left + width + GAP });
      below.forEach((index) =>
        taken.push({ owner, row: index, from: label.x - anchor, to: label.x + anchor }),
      );
      placed[owner] = { ...label, left, row };
      break;
    }
  }
  return placed;
}
