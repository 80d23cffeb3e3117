import { INK, PAPER, polygon, type Decal, type Shape, type Style } from '../../platform/pictures/shapes';

export const GREY = '#c8c8c8';

// slanting lines; the tile is wide so that a viewer that shows its seams shows few
const HATCH: Decal = {
  symbol: 'rect',
  symbolSize: 1,
  color: INK,
  dashArrayX: [40, 0],
  dashArrayY: [1, 5],
  rotation: -Math.PI / 4,
};

/** Slanting lines on paper, with an outline. */
export const HATCHED: Style = { fill: PAPER, stroke: INK, lineWidth: 1, decal: HATCH };

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
