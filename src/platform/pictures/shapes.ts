export type Point = [x: number, y: number];

export interface Style {
  readonly stroke?: string;
  readonly lineWidth?: number;
  readonly lineDash?: number[];
  readonly fill?: string;
  readonly decal?: Decal;
}

/** A pattern of the drawing library that is laid over a filling. */
export interface Decal {
  readonly symbol: string;
  readonly symbolSize: number;
  readonly color: string;
  readonly dashArrayX: number[];
  readonly dashArrayY: number[];
  readonly rotation: number;
}

interface TextStyle {
  readonly text: string;
  readonly fill: string;
  readonly font: string;
  readonly align: 'left' | 'center';
  readonly verticalAlign: 'middle';
  readonly stroke: string;
  readonly lineWidth: number;
}

/** A figure of the drawing library, reduced to what the pictures need. Pixels from the top left corner. */
export type Shape =
  | { type: 'line'; shape: { x1: number; y1: number; x2: number; y2: number }; style: Style; silent: true }
  | { type: 'circle'; shape: { cx: number; cy: number; r: number }; style: Style; silent: true }
  | { type: 'polyline' | 'polygon'; shape: { points: Point[] }; style: Style; silent: true }
  | { type: 'text'; x: number; y: number; style: TextStyle; silent: true };

export const INK = '#000';
export const PAPER = '#fff';
export const FONT_SIZE = 11;

export function line(x1: number, y1: number, x2: number, y2: number, style: Style = {}): Shape {
  return {
    type: 'line',
    shape: { x1, y1, x2, y2 },
    style: { stroke: INK, lineWidth: 1, fill: 'none', ...style },
    silent: true,
  };
}

export function circle(cx: number, cy: number, r: number, style: Style): Shape {
  return { type: 'circle', shape: { cx, cy, r }, style, silent: true };
}

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
