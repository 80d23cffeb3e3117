import type { Box, Point } from './scheme';

// Where everything has its place in the drawing, whatever of it a vehicle has: two drawings can be compared at a glance.

const unitBox = (x: number, y: number): Box => ({ x, y, width: 200, height: 126 });

const boxes = {
  reservoir: { x: 20, y: 235, width: 180, height: 110 },
  pump: { x: 245, y: 235, width: 180, height: 110 },
  regulator: { x: 475, y: 235, width: 180, height: 110 },
  'safety-valve': { x: 915, y: 230, width: 190, height: 120 },
  'front-brakes': { x: 1145, y: 240, width: 200, height: 100 },
  'steering-regulator': { x: 915, y: 8, width: 190, height: 124 },
  steering: { x: 1145, y: 8, width: 200, height: 124 },
  'main-accumulator': unitBox(660, 96),
  'front-corrector': { x: 140, y: 405, width: 190, height: 64 },
  'rear-corrector': { x: 585, y: 405, width: 190, height: 64 },
  'front-anti-sink': { x: 140, y: 526, width: 190, height: 84 },
  'rear-anti-sink': { x: 585, y: 526, width: 190, height: 84 },
  'suspension-front-left': unitBox(25, 662),
  'suspension-front-right': unitBox(245, 662),
  'suspension-rear-left': unitBox(470, 662),
  'suspension-rear-right': unitBox(690, 662),
  'rear-brakes': { x: 1145, y: 440, width: 200, height: 116 },
  'rear-brake-accumulator': { x: 910, y: 540, width: 200, height: 160 },
} satisfies Record<string, Box>;

const junctions = {
  supply: { x: 760, y: 290 },
  'shared-supply': { x: 885, y: 290 },
  'steering-supply': { x: 885, y: 70 },
  'suspension-supply': { x: 680, y: 378 },
  'front-suspension': { x: 235, y: 636 },
  'rear-suspension': { x: 680, y: 636 },
  'rear-brake-supply': { x: 680, y: 498 },
  'rear-brake-reserve': { x: 1010, y: 498 },
} satisfies Record<string, Point>;

export const PLACES = { width: 1_360, boxes, junctions, ownPositionsFromY: 812 };

type Ports = Readonly<Record<string, Point>>;

/** Where pipes meet a part: in the middle of its sides. */
export function portsOf({ x, y, width, height }: Box): Ports {
  return {
    left: { x, y: y + height / 2 },
    right: { x: x + width, y: y + height / 2 },
    top: { x: x + width / 2, y },
    bottom: { x: x + width / 2, y: y + height },
  };
}

export const placePorts = (id: keyof typeof boxes): Ports => portsOf(boxes[id]);
export { unitBox };
