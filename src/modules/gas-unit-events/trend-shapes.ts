import { circle, INK, line, PAPER, polygon, type Shape } from '../../platform/pictures/shapes';
import type { TestMark } from './trend-content';

export const FAINT = '#888';

/** Filled circle: passed. Hollow circle: failed. Hollow diamond: inconclusive. Cross: left out. */
export function testMark(mark: TestMark, x: number, y: number): Shape[] {
  const outline = { stroke: INK, lineWidth: 1.6 };
  switch (mark) {
    case 'passed':
      return [circle(x, y, 4.5, { ...outline, fill: INK })];
    case 'failed':
      return [circle(x, y, 4.5, { ...outline, fill: PAPER })];
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
