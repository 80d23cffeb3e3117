import {
  cautionsFor,
  cautionsInContexts,
  STANDING_CAUTIONS,
  type Caution,
} from '../../core/hydraulics/cautions';
import { UNVERIFIED_LAYOUT, type HydraulicLayout } from '../../core/hydraulics/hydraulic-layout';
import { effectiveLayout } from '../../core/hydraulics/layout-conclusions';

/**
 * What whoever takes units out, puts them in or charges them has to be told, each caution once.
 *
 * @param layouts the recorded layouts of the vehicles concerned; none for a unit on the bench
 */
export function workCautions(layouts: readonly (HydraulicLayout | null)[]): Caution[] {
  const ofVehicles = layouts.flatMap((layout) =>
    cautionsFor(effectiveLayout(layout ?? UNVERIFIED_LAYOUT).layout),
  );
  const all = layouts.length === 0 ? STANDING_CAUTIONS : ofVehicles;
  return cautionsInContexts(all, ['unit-removal', 'unit-charging']);
}
