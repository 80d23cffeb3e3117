import {
  FLUID_KINDS,
  RECORDABLE_VALUES,
  type VariantFact,
} from '../../../../core/hydraulics/hydraulic-layout';
import { asSentence } from '../../../format/words';

/** The facts of a fluid system as people say them. */
export const FACT_NAMES: Record<VariantFact | 'fluid' | 'reservoirLitres', string> = {
  pumpKind: 'Pump',
  antiSinkValves: 'Anti-sink valves',
  rearBrakeAccumulator: 'Rear brake accumulator',
  steeringSupply: 'Steering supply',
  steeringRegulator: 'Steering regulator',
  fluid: 'Fluid',
  reservoirLitres: 'Whole fill of the reservoir',
};

const VALUE_NAMES: Record<string, string> = {
  'single-outlet': 'single outlet',
  split: 'split, two outlets',
  fitted: 'fitted',
  'not-fitted': 'not fitted',
  'shared-supply': 'draws on the pressure supply',
  'own-section': 'own section of the pump',
  integral: 'integral',
  'remote-adjustable': 'remote, adjustable',
  other: 'of a different kind',
  unverified: 'not verified',
  mineral: 'mineral (ISO 7308)',
  glycol: 'glycol (ISO 4925)',
};

export const valueWords = (value: string): string => VALUE_NAMES[value] ?? value;

/** What can be chosen for a fact, `unverified` first. */
export const choicesFor = (fact: VariantFact): string[] => ['unverified', ...RECORDABLE_VALUES[fact]];

export const FLUIDS = FLUID_KINDS;

/** A sentence of the record with the names of its fields and their values told as people say them. */
export function factsInWords(sentence: string): string {
  const named = Object.entries(FACT_NAMES).reduce(
    (text, [fact, name]) => text.replaceAll(new RegExp(`\\b${fact}\\b`, 'g'), name.toLowerCase()),
    sentence,
  );
  return named.replaceAll(/"([a-z-]+)"/g, (_, value: string) => `“${valueWords(value)}”`);
}

/** Why facts cannot be true together, to be shown at each of them. */
export interface Contradiction {
  fields: readonly VariantFact[];
  reason: string;
  remedy: string;
}

/** The contradictions of a refusal in the same words. */
export function contradictionsOf(refused: readonly Contradiction[]): Contradiction[] {
  return refused.map(({ fields, reason, remedy }) => ({
    fields,
    reason: asSentence(factsInWords(reason)),
    remedy: factsInWords(remedy),
  }));
}
