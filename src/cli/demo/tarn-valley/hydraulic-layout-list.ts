import {
  FittedAnswer,
  PumpKind,
  SteeringRegulator,
  SteeringSupply,
} from '../../../core/hydraulics/hydraulic-layout';
import { EpochDay, fromEpochDay } from '../../../core/shared/calendar-date';
import { CAST, isCast } from './cast';
import { DemoVehicle, vehicleKey } from './fleet-vehicles';
import { NamedRandom } from './named-random';

export const LAYOUT_COLUMNS = [
  'vehicleKey',
  'pumpKind',
  'antiSinkValves',
  'rearBrakeAccumulator',
  'steeringSupply',
  'steeringRegulator',
  'fluid',
  'reservoirLitres',
  'seenBy',
  'seenOn',
  'how',
] as const;

type OrEmpty<T> = T | '';

/** What somebody wrote down of a vehicle's layout; an empty value was not filled in. */
export interface LayoutRecord {
  vehicleKey: string;
  pumpKind: PumpKind;
  antiSinkValves: OrEmpty<FittedAnswer>;
  rearBrakeAccumulator: OrEmpty<FittedAnswer>;
  steeringSupply: OrEmpty<SteeringSupply>;
  steeringRegulator: OrEmpty<SteeringRegulator>;
  fluid: OrEmpty<'mineral'>;
  reservoirLitres: string;
  seenBy: string;
  seenOn: string;
  how: string;
}

const HOW_SEEN = [
  'counted the pump outlets',
  'vehicle on the ramp, pipes followed',
  'seen from below at the annual inspection',
  'from the workshop card',
  'cover off, valve block seen',
];

/**
 * The layout records of the fleet, over both layouts. One record contradicts itself (a split pump with
 * anti-sink valves not fitted), one shows a safety-critical finding (anti-sink valves fitted, rear brake
 * accumulator not fitted), some facts are unverified or empty, and some vehicles have no record.
 */
export function hydraulicLayoutRecords(
  vehicles: readonly DemoVehicle[],
  seed: number,
  today: EpochDay,
): LayoutRecord[] {
  const random = new NamedRandom(`${seed} layouts`);
  return vehicles
    .map((vehicle) => layoutRecord(vehicle, random, today))
    .filter((record) => record !== undefined);
}

/** The record as a line of the operator's file, in the order of `LAYOUT_COLUMNS`. */
export function layoutRow(record: LayoutRecord): string[] {
  return LAYOUT_COLUMNS.map((column) => record[column]);
}

/** True where the record, or what follows from it, says that anti-sink valves are fitted. */
export function hasAntiSinkValves(record: LayoutRecord | undefined): boolean {
  return record?.antiSinkValves === 'fitted' || (record?.pumpKind === 'split' && !isContradictory(record));
}

/** True where the record, or what follows from it, says that a rear brake accumulator is fitted. */
export function hasRearBrakeAccumulator(record: LayoutRecord | undefined): boolean {
  return (
    record?.rearBrakeAccumulator === 'fitted' || (record?.pumpKind === 'split' && !isContradictory(record))
  );
}

function isContradictory(record: LayoutRecord): boolean {
  return record.vehicleKey === vehicleKey(CAST.contradictoryLayout);
}

function layoutRecord(vehicle: DemoVehicle, random: NamedRandom, today: EpochDay): LayoutRecord | undefined {
  const { number } = vehicle;
  const drawn = drawnRecord(vehicle, random, today);
  if (isCast(CAST.noLayout, number)) return undefined;
  if (number === CAST.contradictoryLayout) {
    return {
      ...drawn,
      pumpKind: 'split',
      antiSinkValves: 'not-fitted',
      rearBrakeAccumulator: 'fitted',
      steeringSupply: 'own-section',
      steeringRegulator: 'integral',
    };
  }
  if (number === CAST.brakeReserveFinding) {
    return {
      ...drawn,
      pumpKind: 'single-outlet',
      antiSinkValves: 'fitted',
      rearBrakeAccumulator: 'not-fitted',
      steeringSupply: 'shared-supply',
      steeringRegulator: 'integral',
    };
  }
  return drawn;
}

function drawnRecord(vehicle: DemoVehicle, random: NamedRandom, today: EpochDay): LayoutRecord {
  const split = random.chance(0.55);
  const antiSink = split || random.chance(0.35);
  const adjustable = random.chance(0.12);
  const otherSteering = !split && random.chance(0.06);
  const looked = random.chance(0.65);
  const seenDay = Math.max(vehicle.inServiceDay, today - random.integer(20, 900));
  const record: LayoutRecord = {
    vehicleKey: vehicle.externalKey,
    pumpKind: split ? 'split' : 'single-outlet',
    antiSinkValves: antiSink ? 'fitted' : 'not-fitted',
    rearBrakeAccumulator: antiSink ? 'fitted' : 'not-fitted',
    steeringSupply: split ? 'own-section' : otherSteering ? 'other' : 'shared-supply',
    steeringRegulator: otherSteering ? 'other' : adjustable ? 'remote-adjustable' : 'integral',
    fluid: 'mineral',
    reservoirLitres: (split ? 5.2 + 0.1 * random.integer(0, 3) : 4.6 + 0.1 * random.integer(0, 3)).toFixed(1),
    seenBy: `technician T${String(random.integer(1, 14)).padStart(2, '0')}`,
    seenOn: fromEpochDay(seenDay),
    how: random.pick(HOW_SEEN),
  };
  if (isCast(CAST.unverifiedPump, vehicle.number)) {
    return { ...record, pumpKind: 'unverified', steeringSupply: 'unverified', steeringRegulator: '' };
  }
  if (looked) return record;
  // a hurried look: what cannot be seen from above stays open, sometimes the form is left half empty
  const open = random.pick(['unverified', ''] as const);
  return {
    ...record,
    // an accumulator nobody has looked for is no finding
    antiSinkValves: random.chance(0.5) ? open : record.antiSinkValves,
    rearBrakeAccumulator: open,
    steeringRegulator: random.chance(0.6) ? open : record.steeringRegulator,
    reservoirLitres: random.chance(0.5) ? '' : record.reservoirLitres,
    fluid: random.chance(0.2) ? '' : record.fluid,
  };
}
