import type { TestMark } from './trend-content';
import { LABEL_FONT_SIZE } from './trend-label-rows';

interface Stroke {
  readonly stroke?: string;
  readonly lineWidth?: number;
  readonly lineDash?: number[];
  readonly fill?: string;
}

/** A figure of the drawing library, reduced to what the picture needs. Pixels from the top left corner. */
export type Shape =
  | { type: 'line'; shape: { x1: number; y1: number; x2: number; y2: number }; style: Stroke; silent: true }
  | { type: 'circle'; shape: { cx: number; cy: number; r: number }; style: Stroke; silent: true }
  | { type: 'polygon'; shape: { points: [number, number][] }; style: Stroke; silent: true }
  | { type: 'text'; x: number; y: number; style: TextStyle; silent: true };

interface TextStyle {
  readonly text: string;
  readonly fill: string;
  readonly font: string;
  readonly align: 'left' | 'center' | 'right';
  readonly verticalAlign: 'middle';
  readonly stroke: string;
  readonly lineWidth: number;
}

export const INK = '#000';
export const FAINT = '#888';
export const PAPER = '#fff';

export function line(x1: number, y1: number, x2: number, y2: number, style: Stroke = {}): Shape {
  return {
    type: 'line',
    shape: { x1, y1, x2, y2 },
    style: { stroke: INK, lineWidth: 1, fill: 'none', ...style },
    silent: true,
  };
}

export function text(x: number, y: number, words: string, align: TextStyle['align'] = 'left'): Shape {
  const font = `${LABEL_FONT_SIZE}px sans-serif`;
  // paper around the letters keeps them readable over lines
  const style = {
    text: words,
    fill: INK,
    font,
    align,
    verticalAlign: 'middle',
    stroke: PAPER,
    lineWidth: 3,
  } as const;
  return { type: 'text', x, y, style, silent: true };
}

/** Filled circle: passed. Hollow circle: failed. Hollow diamond: inconclusive. Cross: left out. */
export function testMark(mark: TestMark, x: number, y: number): Shape[] {
  const outline = { stroke: INK, lineWidth: 1.6 };
  switch (mark) {
    case 'passed':
      return [
        { type: 'circle', shape: { cx: x, cy: y, r: 4.5 }, style: { ...outline, fill: INK }, silent: true },
      ];
    case 'failed':
      return [
        { type: 'circle', shape: { cx: x, cy: y, r: 4.5 }, style: { ...outline, fill: PAPER }, silent: true },
      ];
    case 'inconclusive':
      return [
        polygon(
          [
            [x, y - 6],
            [x + 6, y],
            [x, y + 6],
            [x - 6, y],
          ],
          { ...outline, fill: PAPER },
        ),
      ];
    case 'left-out':
      return [
        line(x - 4.5, y - 4.5, x + 4.5, y + 4.5, outline),
        line(x - 4.5, y + 4.5, x + 4.5, y - 4.5, outline),
      ];
  }
}

/** A triangle that points up. */
export function rechargeMark(x: number, y: number): Shape {
  return polygon(
    [
      [x, y - 5],
      [x + 5, y + 4],
      [x - 5, y + 4],
    ],
    { fill: INK },
  );
}

/** Slanting lines that fill a rectangle to its edges. */
export function hatch(left: number, top: number, right: number, bottom: number): Shape[] {
  const spacing = 11;
  const shapes: Shape[] = [];
  // each line runs up to the right; `sum` is its x + y
  for (let sum = Math.ceil((left + top) / spacing) * spacing; sum < right + bottom; sum += spacing) {
    const x1 = Math.max(left, sum - bottom);
    const x2 = Math.min(right, sum - top);
    if (x2 > x1) shapes.push(line(x1, sum - x1, x2, sum - x2, { stroke: FAINT, lineWidth: 0.7 }));
  }
  return shapes;
}

function polygon(points: [number, number][], style: Stroke): Shape {
  return { type: 'polygon', shape: { points }, style, silent: true };
}
