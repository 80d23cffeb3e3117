import {
  FITTED_ANSWERS,
  PUMP_KINDS,
  STEERING_REGULATORS,
  STEERING_SUPPLIES,
  UNVERIFIED_LAYOUT,
  type HydraulicLayout,
} from '../../../src/core/hydraulics/hydraulic-layout';
import { contradictionsIn, effectiveLayout } from '../../../src/core/hydraulics/layout-conclusions';
import { UNIT_POSITIONS } from '../../../src/core/hydraulics/unit-positions';
import { drawSystem } from '../../../src/desk/pages/vehicles/drawing/draw-system';
import {
  LINE_HEIGHT,
  SYMBOL_WIDTH,
  textWidth,
  type Box,
  type DrawnUnit,
  type Part,
  type Pipe,
  type Point,
  type SystemDrawing,
} from '../../../src/desk/pages/vehicles/drawing/scheme';
import { systemInWords } from '../../../src/desk/pages/vehicles/drawing/system-words';

// What has to be drawn for which layout is written down here from the facts of the trade (common practice, no published
// source), apart from the code that draws.

const unitAt = (position: string): DrawnUnit => ({
  position,
  gasUnitId: `id-of-${position}`,
  serialNumber: 'B12241-MMMM',
  condition: { tone: 'bad', words: 'below limit' },
  precharge: '1,050.2 kPa at 20 °C',
});
const UNITS = UNIT_POSITIONS.map(unitAt);
const ALL: HydraulicLayout[] = PUMP_KINDS.flatMap((pumpKind) =>
  FITTED_ANSWERS.flatMap((antiSinkValves) =>
    FITTED_ANSWERS.flatMap((rearBrakeAccumulator) =>
      STEERING_SUPPLIES.flatMap((steeringSupply) =>
        STEERING_REGULATORS.map((steeringRegulator) => ({
          pumpKind,
          antiSinkValves,
          rearBrakeAccumulator,
          steeringSupply,
          steeringRegulator,
          fluid: 'mineral',
          reservoirLitres: 5.2,
        })),
      ),
    ),
  ),
);
const POSSIBLE = ALL.filter((layout) => contradictionsIn(layout).length === 0);

const drawn = (layout: HydraulicLayout, units: readonly DrawnUnit[] = UNITS): SystemDrawing =>
  drawSystem({ recorded: true, effective: effectiveLayout(layout), units });
const fittedWhere = (layout: HydraulicLayout): DrawnUnit[] =>
  UNITS.filter(
    ({ position }) => position !== 'rear-brake-accumulator' || layout.rearBrakeAccumulator !== 'not-fitted',
  );
const has = ({ parts }: SystemDrawing, id: string): boolean => parts.some((part) => part.id === id);
const partOf = ({ parts }: SystemDrawing, id: string): Part => {
  const part = parts.find((each) => each.id === id);
  if (part === undefined) throw new Error(`${id} is not drawn`);
  return part;
};
/** whether fluid gets from one part to another along pipes that satisfy `allowed` */
function leads(drawing: SystemDrawing, from: string, to: string, allowed: (pipe: Pipe) => boolean): boolean {
  const seen = new Set([from]);
  const reached = [from];
  for (let at = reached.pop(); at !== undefined; at = reached.pop()) {
    if (at === to) return true;
    for (const pipe of drawing.pipes)
      if (pipe.from.part === at && allowed(pipe) && !seen.has(pipe.to.part)) {
        seen.add(pipe.to.part);
        reached.push(pipe.to.part);
      }
  }
  return false;
}
const sure = ({ certainty }: Pipe): boolean => certainty === 'seen' || certainty === 'follows';
const any = (): boolean => true;

it('has a layout for every combination', () => {
  expect(ALL).toHaveLength(3 * 3 * 3 * 4 * 4);
  expect(POSSIBLE.length).toBeGreaterThan(150);
});

it.each([['every combination', ALL]])('draws what every system has, in %s', (_, layouts) => {
  for (const layout of layouts) {
    const drawing = drawn(layout, fittedWhere(layout));
    for (const id of ['reservoir', 'pump', 'regulator', 'main-accumulator', 'safety-valve', 'steering'])
      expect(has(drawing, id)).toBe(true);
    // facts 1, 3 and 4
    expect(leads(drawing, 'reservoir', 'safety-valve', sure)).toBe(true);
    expect(leads(drawing, 'regulator', 'main-accumulator', sure)).toBe(true);
    expect(leads(drawing, 'safety-valve', 'front-brakes', sure)).toBe(true);
    expect(leads(drawing, 'rear-corrector', 'rear-brakes', sure)).toBe(true);
    for (const end of ['front', 'rear'])
      for (const side of ['left', 'right'])
        expect(leads(drawing, `${end}-corrector`, `suspension-${end}-${side}`, sure)).toBe(true);
  }
});

it('draws anti-sink valves where they are fitted, dashed where nobody knows, and none where there are none', () => {
  for (const layout of POSSIBLE) {
    const drawing = drawn(layout);
    const fitted = layout.antiSinkValves === 'fitted' || layout.pumpKind === 'split';
    for (const end of ['front', 'rear']) {
      const id = `${end}-anti-sink`;
      expect(has(drawing, id)).toBe(layout.antiSinkValves !== 'not-fitted');
      // all fluid to the units passes the valve
      const past = leads(drawing, `${end}-corrector`, `suspension-${end}-left`, ({ to }) => to.part !== id);
      expect(past).toBe(!has(drawing, id));
      if (has(drawing, id))
        expect(partOf(drawing, id).certainty).toBe(
          layout.antiSinkValves === 'fitted' ? 'seen' : fitted ? 'follows' : 'not-verified',
        );
    }
    // fact 7: the valve stands between the rear suspension units and the rear brakes
    expect(leads(drawing, 'rear-anti-sink', 'rear-brakes', any)).toBe(false);
  }
});

it('draws the rear brake accumulator where it is, where it may be and where it is missing', () => {
  for (const layout of POSSIBLE) {
    const drawing = drawn(layout, fittedWhere(layout));
    const fitted = layout.rearBrakeAccumulator === 'fitted' || layout.pumpKind === 'split';
    const feeds = (allowed: (pipe: Pipe) => boolean): boolean =>
      drawing.pipes.some((pipe) => pipe.to.part === 'rear-brake-accumulator' && allowed(pipe));
    if (fitted) expect(feeds(sure)).toBe(true);
    else if (layout.rearBrakeAccumulator === 'unverified') {
      expect(feeds(any)).toBe(true);
      expect(feeds(sure)).toBe(false);
      expect(partOf(drawing, 'rear-brake-accumulator').notes).toContain('not verified');
    } else {
      expect(feeds(any)).toBe(false);
      const needed = layout.antiSinkValves === 'fitted';
      expect(has(drawing, 'rear-brake-accumulator')).toBe(needed);
      if (needed) {
        expect(partOf(drawing, 'rear-brake-accumulator').missing).toBe(true);
        expect(partOf(drawing, 'rear-brakes').notes).toContain('no feed with safety valve closed');
      }
    }
  }
});

it('feeds the steering from where it takes its pressure, and guesses nothing', () => {
  for (const layout of POSSIBLE) {
    const drawing = drawn(layout);
    const fromPump = drawing.pipes.filter(({ from }) => from.part === 'pump' && from.port === 'top');
    const shared = drawing.pipes.filter(({ from, to }) =>
      from.part === 'shared-supply' ? to.part === 'steering-supply' : false,
    );
    const kind =
      layout.steeringSupply === 'unverified' && layout.pumpKind === 'split'
        ? 'own-section'
        : layout.steeringSupply;
    if (kind === 'own-section') {
      expect(fromPump.every(sure) && fromPump.length === 1).toBe(true);
      expect(shared).toEqual([]);
      expect(partOf(drawing, 'pump').symbol).toBe('pump-with-two-outlets');
    } else if (kind === 'shared-supply') {
      expect(shared.every(sure) && shared.length === 1).toBe(true);
      expect(fromPump).toEqual([]);
    } else if (kind === 'other') {
      expect([...fromPump, ...shared]).toEqual([]);
      expect(leads(drawing, 'reservoir', 'steering', any)).toBe(false);
      expect(partOf(drawing, 'steering').notes).toContain("the maker's manual rules");
    } else {
      expect(leads(drawing, 'reservoir', 'steering', sure)).toBe(false);
      expect(shared).toHaveLength(1);
      expect(fromPump).toHaveLength(layout.pumpKind === 'single-outlet' ? 0 : 1);
      expect([...fromPump, ...shared].some(sure)).toBe(false);
    }
  }
});

it('draws a steering regulator of its own unless it is integral', () => {
  for (const layout of POSSIBLE) {
    const drawing = drawn(layout);
    expect(has(drawing, 'steering-regulator')).toBe(layout.steeringRegulator !== 'integral');
    if (layout.steeringRegulator === 'integral')
      expect(partOf(drawing, 'steering').notes).toContain('integral regulator');
    else if (layout.steeringRegulator === 'unverified')
      expect(partOf(drawing, 'steering-regulator').notes).toContain('not verified');
    else expect(partOf(drawing, 'steering-regulator').notes).toContain("the maker's manual rules");
  }
});

it('says of every fact that nobody has established that it is not verified', () => {
  for (const layout of ALL) {
    const { basis } = effectiveLayout(layout);
    const drawing = drawn(layout, fittedWhere(layout));
    const shownAt = {
      pumpKind: 'pump',
      antiSinkValves: 'rear-anti-sink',
      rearBrakeAccumulator: 'rear-brake-accumulator',
      steeringSupply: 'steering',
      steeringRegulator: 'steering-regulator',
    } as const;
    for (const [fact, id] of Object.entries(shownAt) as [keyof typeof basis, string][]) {
      if (basis[fact] === 'unknown') expect(partOf(drawing, id).notes).toContain('not verified');
      if (basis[fact] === 'disputed') expect(partOf(drawing, id).notes).toContain('records disagree');
      if (basis[fact] === 'follows') expect(partOf(drawing, id).notes).toContain('follows, not seen');
    }
  }
});

it('dashes everything where nothing is recorded', () => {
  const drawing = drawSystem({
    recorded: false,
    effective: effectiveLayout({ ...UNVERIFIED_LAYOUT }),
    units: UNITS,
  });
  expect([...drawing.parts, ...drawing.pipes].every(({ certainty }) => certainty === 'not-verified')).toBe(
    true,
  );
});

it('ends every pipe at a port of a part that is drawn, and runs it along the axes', () => {
  const faults = ALL.flatMap((layout) => {
    const drawing = drawn(layout, fittedWhere(layout));
    return drawing.pipes.filter(({ from, to, points }) => {
      const ends = [partOf(drawing, from.part).ports[from.port], partOf(drawing, to.part).ports[to.port]];
      return (
        !same(points[0], ends[0]) ||
        !same(points.at(-1), ends[1]) ||
        legs(points).some(([a, b]) => a.x !== b.x && a.y !== b.y)
      );
    });
  });
  expect(faults).toEqual([]);
});

it('lets no parts, and no pipe and part, overlap, and keeps every text in its box', () => {
  const own = Array.from({ length: 8 }, (_, index) => unitAt(`luggage-lift-${index}`));
  const faults = ALL.flatMap((layout) => {
    const drawing = drawn(layout, [...UNITS, ...own]);
    const parts = drawing.parts.filter(({ symbol }) => symbol !== 'junction');
    return parts.flatMap(({ id, box, lines }, index) => [
      ...(within(box, drawing) ? [] : [`${id} is outside`]),
      ...parts.slice(index + 1).flatMap((other) => (apart(box, other.box) ? [] : [`${id} on ${other.id}`])),
      ...(lines.length * LINE_HEIGHT <= box.height ? [] : [`${id} has ${lines.length} lines`]),
      ...lines
        .filter((line) => SYMBOL_WIDTH + textWidth(line) > box.width)
        .map(({ text }) => `${id}: ${text}`),
      ...drawing.pipes
        .filter(({ points }) => legs(points).some((leg) => throughInside(leg, box)))
        .map(({ from, to }) => `${from.part} > ${to.part} through ${id}`),
    ]);
  });
  expect([...new Set(faults)]).toEqual([]);
});

it('lets pipes that do not belong together meet nowhere', () => {
  const faults = ALL.flatMap((layout) => {
    const { pipes } = drawn(layout);
    return pipes.flatMap((one, index) =>
      pipes
        .slice(index + 1)
        .filter(({ from, to, points }) => {
          const joined = [one.from.part, one.to.part].some((part) => part === from.part || part === to.part);
          return (
            !joined && legs(one.points).some((a) => legs(points).some((b) => !apart(boxOf(a), boxOf(b))))
          );
        })
        .map(({ from, to }) => `${one.from.part} > ${one.to.part} and ${from.part} > ${to.part}`),
    );
  });
  expect([...new Set(faults)]).toEqual([]);
});

it('tells in words what it shows', () => {
  const split = drawn({ ...UNVERIFIED_LAYOUT, pumpKind: 'split' });
  const words = systemInWords(split);
  const of = (id: string) => words.find((each) => each.id === id);
  expect(of('pump')).toEqual({
    id: 'pump',
    name: 'Pump',
    notes: ['split, two outlets'],
    feeds: ['Pressure regulator', 'Steering regulator'],
  });
  expect(of('rear-corrector')?.feeds).toEqual([
    'Anti-sink valve, rear',
    'Rear brakes',
    'Rear brake accumulator',
  ]);
  expect(of('suspension-front-left')?.notes).toEqual(['B12241-MMMM', 'below limit', '1,050.2 kPa at 20 °C']);
  expect(words.some(({ name }) => name === '')).toBe(false);
});

const GOLDEN: [string, Partial<HydraulicLayout>][] = [
  ['a split pump of which nothing else was looked at', { pumpKind: 'split' }],
  [
    'a single-outlet pump without anti-sink valves',
    {
      pumpKind: 'single-outlet',
      antiSinkValves: 'not-fitted',
      rearBrakeAccumulator: 'not-fitted',
      steeringSupply: 'shared-supply',
      steeringRegulator: 'remote-adjustable',
      fluid: 'mineral',
      reservoirLitres: 4.5,
    },
  ],
];
it.each(GOLDEN)('draws %s as it was looked over', (_, facts) => {
  const layout = { ...UNVERIFIED_LAYOUT, ...facts };
  const { parts, pipes } = drawn(layout, fittedWhere(layout));
  const lines = [
    ...parts
      .filter(({ symbol }) => symbol !== 'junction')
      .map(
        ({ symbol, certainty, lines: text }) =>
          `${symbol} (${certainty}): ${text.map((line) => line.text).join(' / ')}`,
      ),
    ...pipes.map(
      ({ from, to, points, certainty }) =>
        `${from.part} > ${to.part} (${certainty}): ${points.map(({ x, y }) => `${x},${y}`).join(' ')}`,
    ),
  ];
  expect(lines).toMatchSnapshot();
});

function legs(points: readonly Point[]): [Point, Point][] {
  return points.slice(1).map((point, index) => [points[index] ?? point, point]);
}

const same = (a: Point | undefined, b: Point | undefined): boolean => a?.x === b?.x && a?.y === b?.y;

const within = (box: Box, { width, height }: SystemDrawing): boolean =>
  box.x >= 0 && box.y >= 0 && box.x + box.width <= width && box.y + box.height <= height;

function boxOf([a, b]: [Point, Point]): Box {
  return {
    x: Math.min(a.x, b.x),
    y: Math.min(a.y, b.y),
    width: Math.abs(a.x - b.x),
    height: Math.abs(a.y - b.y),
  };
}

/** True where the two have no point in common. */
function apart(a: Box, b: Box): boolean {
  return a.x + a.width < b.x || b.x + b.width < a.x || a.y + a.height < b.y || b.y + b.height < a.y;
}

/** Whether a leg runs through a box, and not only up to its edge. */
function throughInside(leg: [Point, Point], { x, y, width, height }: Box): boolean {
  return !apart(boxOf(leg), { x: x + 0.5, y: y + 0.5, width: width - 1, height: height - 1 });
}
