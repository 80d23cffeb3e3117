import { cautionsInContexts, STANDING_CAUTIONS, type CautionContext } from '../../core/hydraulics/cautions';
import { roleOfPosition } from '../../core/hydraulics/unit-positions';
import type { PrechargeObservationKind } from '../../core/precharge/precharge-model';

interface ShownCaution {
  code: string;
  text: string;
}

/**
 * What has to be said where a unit is tested or charged: what belongs to the figure, to the work, and, for a unit
 * that feeds the brakes, to them. Each code once.
 */
export function cautionsOfMeasuring(
  { kind, position }: { kind: PrechargeObservationKind; position: string | null },
  ofFigure: readonly ShownCaution[],
): ShownCaution[] {
  const role = position === null ? null : roleOfPosition(position);
  const contexts: CautionContext[] = ['unit-removal'];
  if (kind === 'charge') contexts.push('unit-charging');
  if (role === 'main-accumulator' || role === 'rear-brake-accumulator') {
    contexts.push('brakes-supply-or-anti-sink');
  }
  const ofWork = cautionsInContexts(STANDING_CAUTIONS, contexts)
    .filter(({ code }) => !ofFigure.some((shown) => shown.code === code))
    .map(({ code, text }) => ({ code, text }));
  return [...ofFigure.map(({ code, text }) => ({ code, text })), ...ofWork];
}
