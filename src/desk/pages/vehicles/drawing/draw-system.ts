import type { EffectiveLayout } from '../../../../core/hydraulics/layout-conclusions';
import { rearBrakeFeed, type RearBrakeFeed } from '../../../../core/hydraulics/rear-brake-feed';
import { joinParts } from './join-parts';
import { PLACES, placePorts } from './places';
import {
  CERTAINTY_WORDS,
  certaintyOf,
  linesFor,
  type Certainty,
  type DrawnUnit,
  type Part,
  type SystemDrawing,
} from './scheme';
import { ownPositions, unitPart } from './unit-parts';

/** What a vehicle's fluid system is drawn from. */
export interface SystemToDraw {
  /** False where nobody has recorded anything of the system: then everything is dashed. */
  recorded: boolean;
  effective: EffectiveLayout;
  /** the positions of the vehicle, the standard ones and those of the operator's own */
  units: readonly DrawnUnit[];
}

const PUMP_WORDS = {
  'single-outlet': 'single outlet',
  split: 'split, two outlets',
  unverified: 'number of outlets',
} as const;

const STEERING_WORDS = {
  'own-section': 'own pump section',
  'shared-supply': 'draws on the pressure supply',
  other: 'different kind',
  unverified: 'supply',
} as const;

const REAR_BRAKE_WORDS: Record<RearBrakeFeed, string> = {
  'rear-suspension': 'fed from the rear suspension',
  'rear-brake-accumulator': 'fed through their accumulator',
  nothing: 'no feed with safety valve closed',
  unknown: 'feed not verified',
};

const FLUID_WORDS: Record<string, string> = { mineral: 'mineral fluid', glycol: 'glycol fluid' };

/**
 * Draws how the parts of a fluid system are connected, not where they sit. The facts of the trade that it draws by:
 * the safety valve feeds the front brakes, then the suspension; the rear brakes are fed from the rear suspension, on
 * the supply's side of the anti-sink valve, so that the valve shuts the suspension units off from them and the rear
 * brake accumulator has to feed them; steering has its own section of a split pump, or draws on the pressure supply.
 * Source: common practice, no published source.
 */
export function drawSystem({ recorded, effective, units }: SystemToDraw): SystemDrawing {
  const parts = [
    ...supplyParts(effective),
    ...steeringParts(effective),
    ...suspensionParts(effective, units),
    ...rearBrakeParts(effective, units),
    ...ownPositions(units),
  ];
  const pipes = joinParts(parts, effective);
  const height = Math.max(...parts.map(({ box }) => box.y + box.height)) + 10;
  if (recorded) return { width: PLACES.width, height, parts, pipes };
  return {
    width: PLACES.width,
    height,
    parts: parts.map((each) => ({ ...each, certainty: 'not-verified' })),
    pipes: pipes.map((each) => ({ ...each, certainty: 'not-verified' })),
  };
}

type Place = keyof typeof PLACES.boxes;

function part(
  id: Place,
  symbol: Part['symbol'],
  name: string,
  notes: readonly string[] = [],
  certainty: Certainty = 'seen',
): Part {
  const sure = CERTAINTY_WORDS[certainty];
  const all = sure === null ? [...notes] : [...notes, sure];
  const box = PLACES.boxes[id];
  return {
    id,
    symbol,
    box,
    name,
    notes: all,
    lines: linesFor(name, all, box.width),
    certainty,
    ports: placePorts(id),
  };
}

const junction = (id: keyof typeof PLACES.junctions): Part => ({
  id,
  symbol: 'junction',
  box: { ...PLACES.junctions[id], width: 0, height: 0 },
  name: '',
  notes: [],
  lines: [],
  certainty: 'seen',
  ports: { here: PLACES.junctions[id] },
});

function supplyParts({ layout, basis }: EffectiveLayout): Part[] {
  const { pumpKind, fluid, reservoirLitres, steeringSupply } = layout;
  const ownSection = pumpKind === 'split' || steeringSupply === 'own-section';
  return [
    part(
      'reservoir',
      'reservoir',
      'Reservoir',
      [
        reservoirLitres === null ? 'litres' : `${reservoirLitres} l`,
        fluid === null ? 'fluid' : (FLUID_WORDS[fluid] ?? fluid),
      ],
      reservoirLitres === null || fluid === null ? 'not-verified' : 'seen',
    ),
    part(
      'pump',
      ownSection ? 'pump-with-two-outlets' : 'pump',
      'Pump',
      [PUMP_WORDS[pumpKind]],
      certaintyOf(basis.pumpKind),
    ),
    part('regulator', 'regulator', 'Pressure regulator', ['cut-in and cut-out']),
    junction('supply'),
    part('safety-valve', 'safety-valve', 'Safety valve', [
      'brakes before suspension',
      'low-pressure warning',
    ]),
    part('front-brakes', 'brake', 'Front brakes', ['fed first']),
    junction('suspension-supply'),
  ];
}

function steeringParts({ layout, basis }: EffectiveLayout): Part[] {
  const { steeringSupply, steeringRegulator } = layout;
  const certainty = steeringSupply === 'other' ? 'manual-rules' : certaintyOf(basis.steeringSupply);
  const notes: string[] = [STEERING_WORDS[steeringSupply]];
  if (steeringRegulator === 'integral') notes.push('integral regulator');
  const steering = part('steering', 'steering', 'Steering', notes, certainty);
  const taps = [
    ...(steeringSupply === 'other' ? [] : [junction('steering-supply')]),
    ...(steeringSupply === 'shared-supply' || steeringSupply === 'unverified'
      ? [junction('shared-supply')]
      : []),
  ];
  const words = {
    'remote-adjustable': ['remote, adjustable', "the maker's manual rules"],
    other: ['different kind'],
    unverified: [],
  };
  if (steeringRegulator === 'integral') return [...taps, steering];
  const sure = steeringRegulator === 'other' ? 'manual-rules' : certaintyOf(basis.steeringRegulator);
  const symbol = steeringRegulator === 'remote-adjustable' ? 'adjustable-regulator' : 'regulator';
  const regulator = part('steering-regulator', symbol, 'Steering regulator', words[steeringRegulator], sure);
  return [...taps, regulator, steering];
}

function suspensionParts({ layout, basis }: EffectiveLayout, units: readonly DrawnUnit[]): Part[] {
  const certainty = certaintyOf(basis.antiSinkValves);
  const valves = (end: 'front' | 'rear'): Part[] =>
    layout.antiSinkValves === 'not-fitted'
      ? []
      : [part(`${end}-anti-sink`, 'shut-off-valve', `Anti-sink valve, ${end}`, [], certainty)];
  const end = (which: 'front' | 'rear'): Part[] => [
    part(`${which}-corrector`, 'height-corrector', `Height corrector, ${which}`),
    ...valves(which),
    junction(`${which}-suspension`),
    unitPart(`suspension-${which}-left`, units),
    unitPart(`suspension-${which}-right`, units),
  ];
  return [
    unitPart('main-accumulator', units),
    ...end('front'),
    ...end('rear'),
    junction('rear-brake-supply'),
  ];
}

function rearBrakeParts({ layout, basis }: EffectiveLayout, units: readonly DrawnUnit[]): Part[] {
  const feed = rearBrakeFeed(layout);
  const brakes = part('rear-brakes', 'brake', 'Rear brakes', [REAR_BRAKE_WORDS[feed]]);
  const id = 'rear-brake-accumulator';
  const onRecord = units.some(({ position, gasUnitId }) => position === id && gasUnitId !== null);
  if (layout.rearBrakeAccumulator !== 'not-fitted') {
    const certainty = certaintyOf(basis.rearBrakeAccumulator);
    return [brakes, junction('rear-brake-reserve'), unitPart(id, units, { certainty })];
  }
  const missing = feed === 'nothing';
  if (onRecord) return [brakes, unitPart(id, units, { certainty: 'disputed', missing })];
  return missing ? [{ ...brakes, missing }, unitPart(id, units, { missing })] : [brakes];
}
