export type Point = [x: number, y: number];

interface Style {
  readonly stroke?: string;
  readonly lineWidth?: number;
  readonly lineDash?: number[];
  readonly fill?: string;
  readonly decal?: typeof HATCH;
}

/** A figure of the drawing library, reduced to what the pictures need. Pixels from the top left corner. */
export type Shape =
  | { type: 'polyline' | 'polygon'; shape: { points: Point[] }; style: Style; silent: true }
  | { type: 'text'; x: number; y: number; style: TextStyle; silent: true };

interface TextStyle {
  readonly text: string;
  readonly fill: string;
  readonly font: string;
  readonly align: 'left' | 'center';
  readonly verticalAlign: 'middle';
  readonly stroke: string;
  readonly lineWidth: number;
}

/** A symbol and what it stands for. */
export interface KeyEntry {
  readonly words: string;
  readonly symbolWidth: number;
  readonly symbol: (left: number, middle: number) => Shape[];
}

export const INK = '#000';
export const PAPER = '#fff';
export const GREY = '#c8c8c8';
export const FONT_SIZE = 11;

// slanting lines; the tile is wide so that a viewer that shows its seams shows few
const HATCH = {
  symbol: 'rect',
  symbolSize: 1,
  color: INK,
  dashArrayX: [40, 0],
  dashArrayY: [1, 5],
  rotation: -Math.PI / 4,
};

/** Slanting lines on paper, with an outline. */
export const HATCHED: Style = { fill: PAPER, stroke: INK, lineWidth: 1, decal: HATCH };

export function polyline(points: Point[], style: Style): Shape {
  return {
    type: 'polyline',
    shape: { points },
    style: { stroke: INK, lineWidth: 1, ...style, fill: 'none' },
    silent: true,
  };
}

export function polygon(points: Point[], style: Style): Shape {
  // the library writes into the fillings that it is given
  return { type: 'polygon', shape: { points }, style: structuredClone(style), silent: true };
}

/** @param from one corner @param to the corner across */
export function rectangle([x1, y1]: Point, [x2, y2]: Point, style: Style): Shape {
  return polygon(
    [
      [x1, y1],
      [x2, y1],
      [x2, y2],
      [x1, y2],
    ],
    style,
  );
}

/** A triangle that points down. */
export function downMark(x: number, y: number, fill: string): Shape {
  return polygon(
    [
      [x - 4, y - 4],
      [x + 4, y - 4],
      [x, y + 4],
    ],
    { fill, stroke: INK, lineWidth: 1 },
  );
}

export function text(x: number, y: number, words: string, align: TextStyle['align'] = 'left'): Shape {
  // paper around the letters keeps them readable over lines
  const style = {
    text: words,
    fill: INK,
    font: `${FONT_SIZE}px sans-serif`,
    align,
    verticalAlign: 'middle',
    stroke: PAPER,
    lineWidth: 3,
  } as const;
  return { type: 'text', x, y, style, silent: true };
}

/** Width of a text in a common sans-serif, on the generous side. */
export function textWidth(words: string): number {
  return Array.from(words).length * 0.62 * FONT_SIZE;
}

/** The entries side by side. */
export function keyRow(entries: readonly KeyEntry[], left: number, middle: number): Shape[] {
  let x = left;
  return entries.flatMap(({ words, symbolWidth, symbol }) => {
    const at = x;
    x += symbolWidth + 5 + textWidth(words) + 12;
    return [...symbol(at, middle), text(at + symbolWidth + 5, middle, words)];
  });
}
