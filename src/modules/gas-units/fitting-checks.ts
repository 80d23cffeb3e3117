import { UNVERIFIED_LAYOUT, type HydraulicLayout } from '../../core/hydraulics/hydraulic-layout';
import { effectiveLayout } from '../../core/hydraulics/layout-conclusions';
import {
  expectedUnitPositions,
  type PositionExpectation,
  type UnitRole,
} from '../../core/hydraulics/unit-positions';

/** Why a unit cannot be fitted somewhere, and what can be done about it. */
export interface Objection {
  /** what is wrong: the position, or the unit */
  about: 'position' | 'unit';
  detail: string;
  remedy: string;
}

/** Whether units are to be expected at the standard positions of a vehicle, by what is recorded and what follows. */
export function expectationsOf(recorded: HydraulicLayout | null): PositionExpectation[] {
  return expectedUnitPositions(effectiveLayout(recorded ?? UNVERIFIED_LAYOUT).layout);
}

/** What speaks against a unit at a position of a vehicle; null where nothing does. */
export function fittingObjection(
  unit: { serialNumber: string; unitTypeCode: string; roles: readonly UnitRole[] },
  position: string,
  roleOf: ReadonlyMap<string, UnitRole>,
  layout: HydraulicLayout | null,
): Objection | null {
  const role = roleOf.get(position);
  if (role === undefined) {
    return {
      about: 'position',
      detail: `There is no position "${position}".`,
      remedy: `give one of ${[...roleOf.keys()].join(', ')}, or add a position of your own first`,
    };
  }
  if (!unit.roles.includes(role)) {
    return {
      about: 'unit',
      detail: `Unit ${unit.serialNumber} is of type ${unit.unitTypeCode}, made for ${unit.roles.join(', ')}; "${position}" takes a unit for ${role}.`,
      remedy: 'fit a unit of a type that is made for this position, or correct the roles of the type',
    };
  }
  const expected = expectationsOf(layout).find((each) => each.position === position);
  if (expected?.unit === 'not-expected') {
    return {
      about: 'position',
      detail: `This vehicle has no "${position}": its layout is recorded that way.`,
      remedy: "choose another position, or correct the record of the vehicle's hydraulic system first",
    };
  }
  return null;
}

/** What deserves a second look in a fitting that is recorded all the same. */
export function fittingWarning(position: string, layout: HydraulicLayout | null): string | null {
  const expected = expectationsOf(layout).find((each) => each.position === position);
  return expected?.unit === 'unknown'
    ? `nobody has established whether this vehicle has a unit at "${position}"; look, and record it with its hydraulic system`
    : null;
}
