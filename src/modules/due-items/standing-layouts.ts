import {
  FITTED_ANSWERS,
  PUMP_KINDS,
  STEERING_REGULATORS,
  STEERING_SUPPLIES,
  type VariantFacts,
} from '../../core/hydraulics/hydraulic-layout';
import { safetyFindings } from '../../core/hydraulics/safety-findings';

/**
 * Every combination of layout facts whose record alone keeps a vehicle off the road. There are a few hundred
 * combinations in all, so the core judges each of them once and the database only has to compare.
 */
export const STANDING_LAYOUTS: readonly VariantFacts[] = everyCombination().filter((facts) =>
  safetyFindings({ ...facts, fluid: null, reservoirLitres: null }).some(({ status }) => status === 'stands'),
);

function everyCombination(): VariantFacts[] {
  return PUMP_KINDS.flatMap((pumpKind) =>
    FITTED_ANSWERS.flatMap((antiSinkValves) =>
      FITTED_ANSWERS.flatMap((rearBrakeAccumulator) =>
        STEERING_SUPPLIES.flatMap((steeringSupply) =>
          STEERING_REGULATORS.map((steeringRegulator) => ({
            pumpKind,
            antiSinkValves,
            rearBrakeAccumulator,
            steeringSupply,
            steeringRegulator,
          })),
        ),
      ),
    ),
  );
}
