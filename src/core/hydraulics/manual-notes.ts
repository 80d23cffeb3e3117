import { HydraulicLayout, VariantFact } from './hydraulic-layout';

/** A place where the software does not know and says so. */
export interface ManualNote {
  code: string;
  facts: readonly VariantFact[];
  text: string;
}

/**
 * Where the maker's workshop manual rules: a remote, adjustable steering regulator and steering of a different
 * kind. Source: common practice, no published source.
 *
 * @param layout the effective layout (`effectiveLayout`)
 */
export function manualNotes(layout: HydraulicLayout): ManualNote[] {
  const notes: ManualNote[] = [];
  if (layout.steeringRegulator === 'remote-adjustable') {
    notes.push({
      code: 'remote-steering-regulator-manual-rules',
      facts: ['steeringRegulator'],
      text:
        'The steering regulator is remote and adjustable. Its pressures and the way to set it differ between ' +
        "vehicles: the maker's workshop manual rules, nothing is assumed here.",
    });
  }
  const otherFacts = (['steeringSupply', 'steeringRegulator'] as const).filter(
    (fact) => layout[fact] === 'other',
  );
  if (otherFacts.length > 0) {
    notes.push({
      code: 'other-steering-manual-rules',
      facts: otherFacts,
      text:
        "The steering is of a different kind. The maker's workshop manual rules for everything that concerns " +
        'it, nothing is assumed here.',
    });
  }
  return notes;
}
