import { HydraulicLayout } from './hydraulic-layout';

/** Positions of gas units that the layout speaks of; an operator may add positions of its own. */
export const UNIT_POSITIONS = [
  'suspension-front-left',
  'suspension-front-right',
  'suspension-rear-left',
  'suspension-rear-right',
  'main-accumulator',
  'rear-brake-accumulator',
] as const;

export type UnitPosition = (typeof UNIT_POSITIONS)[number];

/** What a gas unit does where it sits; a type of unit is made for some of them. */
export const UNIT_ROLES = ['suspension', 'main-accumulator', 'rear-brake-accumulator', 'other'] as const;

export type UnitRole = (typeof UNIT_ROLES)[number];

/** Where a gas unit is, on a vehicle or not. */
export const UNIT_PLACEMENT_STATES = ['fitted', 'on-the-shelf', 'away-for-recharge', 'scrapped'] as const;

export type UnitPlacementState = (typeof UNIT_PLACEMENT_STATES)[number];

/** The role of a standard position; null for one that is not of the standard ones. */
export function roleOfPosition(position: string): UnitRole | null {
  if (!(UNIT_POSITIONS as readonly string[]).includes(position)) return null;
  return position.startsWith('suspension-') ? 'suspension' : (position as UnitRole);
}

/** Whether a gas unit belongs at a position of this vehicle. */
export interface PositionExpectation {
  position: UnitPosition;
  unit: 'expected' | 'not-expected' | 'unknown';
}

/**
 * Where gas units are to be expected: one per wheel, one in the pressure supply, and one at the rear brakes
 * where the layout says so. Source: common practice, no published source.
 *
 * @param layout the effective layout (`effectiveLayout`)
 */
export function expectedUnitPositions(layout: HydraulicLayout): PositionExpectation[] {
  const atRearBrakes = { fitted: 'expected', 'not-fitted': 'not-expected', unverified: 'unknown' } as const;
  return UNIT_POSITIONS.map((position) => ({
    position,
    unit: position === 'rear-brake-accumulator' ? atRearBrakes[layout.rearBrakeAccumulator] : 'expected',
  }));
}
