import {
  FITTED_ANSWERS,
  HydraulicLayout,
  PUMP_KINDS,
  STEERING_REGULATORS,
  STEERING_SUPPLIES,
  VARIANT_FACTS,
} from '../../../src/core/hydraulics/hydraulic-layout';

// every combination of recorded variant facts, `unverified` included
export const ALL_LAYOUTS: HydraulicLayout[] = PUMP_KINDS.flatMap((pumpKind) =>
  FITTED_ANSWERS.flatMap((antiSinkValves) =>
    FITTED_ANSWERS.flatMap((rearBrakeAccumulator) =>
      STEERING_SUPPLIES.flatMap((steeringSupply) =>
        STEERING_REGULATORS.map((steeringRegulator) => ({
          pumpKind,
          antiSinkValves,
          rearBrakeAccumulator,
          steeringSupply,
          steeringRegulator,
          fluid: null,
          reservoirLitres: null,
        })),
      ),
    ),
  ),
);

// A vehicle as it really is: every fact has a value. A pump may be of a kind that a record has no word for.
export interface RealVehicle {
  pumpKind: 'single-outlet' | 'split' | 'of a kind without a word';
  antiSinkValves: 'fitted' | 'not-fitted';
  rearBrakeAccumulator: 'fitted' | 'not-fitted';
  steeringSupply: 'shared-supply' | 'own-section' | 'other';
  steeringRegulator: 'integral' | 'remote-adjustable' | 'other';
}

// The facts of the trade once more, as what can exist (common practice, no published source), written
// independently of the rules under test.
function canExist(vehicle: RealVehicle): boolean {
  if (vehicle.pumpKind === 'split')
    return (
      vehicle.steeringSupply === 'own-section' &&
      vehicle.antiSinkValves === 'fitted' &&
      vehicle.rearBrakeAccumulator === 'fitted'
    );
  return !(vehicle.pumpKind === 'single-outlet' && vehicle.steeringSupply === 'own-section');
}

const FITTED = ['fitted', 'not-fitted'] as const;
export const REAL_VEHICLES: RealVehicle[] = (
  ['single-outlet', 'split', 'of a kind without a word'] as const
).flatMap((pumpKind) =>
  FITTED.flatMap((antiSinkValves) =>
    FITTED.flatMap((rearBrakeAccumulator) =>
      (['shared-supply', 'own-section', 'other'] as const).flatMap((steeringSupply) =>
        (['integral', 'remote-adjustable', 'other'] as const)
          .map((steeringRegulator) => ({
            pumpKind,
            antiSinkValves,
            rearBrakeAccumulator,
            steeringSupply,
            steeringRegulator,
          }))
          .filter(canExist),
      ),
    ),
  ),
);

export function vehiclesThatFit(layout: HydraulicLayout): RealVehicle[] {
  return REAL_VEHICLES.filter((vehicle) =>
    VARIANT_FACTS.every((fact) => layout[fact] === 'unverified' || layout[fact] === vehicle[fact]),
  );
}
