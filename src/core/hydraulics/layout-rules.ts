import { VariantFact } from './hydraulic-layout';

/** "Where `when.fact` is `when.is`, `then.fact` is one of `then.isOneOf`." */
export interface LayoutRule {
  /** Stable; safe to store and to link to. */
  code: string;
  when: { fact: VariantFact; is: string };
  then: { fact: VariantFact; isOneOf: readonly string[] };
  /** Why, in words for a person. */
  reason: string;
  /** What to do when a record says otherwise. */
  remedy: string;
}

/**
 * The whole knowledge of the trade about how the facts of a layout hang together (common practice, no
 * published source). Each rule is read forwards, to learn a fact, and backwards, to exclude a pump kind; it
 * is never read as its converse: fitted anti-sink valves say nothing certain of the pump.
 */
export const LAYOUT_RULES: readonly LayoutRule[] = [
  {
    code: 'split-pump-feeds-steering-by-its-own-section',
    when: { fact: 'pumpKind', is: 'split' },
    then: { fact: 'steeringSupply', isOneOf: ['own-section'] },
    reason: 'a split pump has a section of its own for the steering, with a regulator of its own',
    remedy:
      'count the outlets of the pump and follow the steering feed pipe to where it starts; correct ' +
      'pumpKind or steeringSupply, or set the one that nobody has seen to "unverified"',
  },
  {
    code: 'split-pump-means-anti-sink-valves',
    when: { fact: 'pumpKind', is: 'split' },
    then: { fact: 'antiSinkValves', isOneOf: ['fitted'] },
    reason: 'a vehicle with a split pump has anti-sink valves',
    remedy:
      'count the outlets of the pump and look for the anti-sink valves in the suspension pipes; correct ' +
      'pumpKind or antiSinkValves, or set the one that nobody has seen to "unverified"',
  },
  {
    code: 'split-pump-means-rear-brake-accumulator',
    when: { fact: 'pumpKind', is: 'split' },
    then: { fact: 'rearBrakeAccumulator', isOneOf: ['fitted'] },
    reason:
      'a vehicle with a split pump has a rear brake accumulator: its anti-sink valves shut the rear ' +
      'suspension off from the rear brakes',
    remedy:
      'count the outlets of the pump and look for the accumulator at the rear brake circuit; if it has been ' +
      'taken off, keep the vehicle off the road until it is back; correct pumpKind or ' +
      'rearBrakeAccumulator, or set the one that nobody has seen to "unverified"',
  },
  {
    code: 'single-outlet-pump-has-no-section-for-steering',
    when: { fact: 'pumpKind', is: 'single-outlet' },
    then: { fact: 'steeringSupply', isOneOf: ['shared-supply', 'other'] },
    reason:
      'a single-outlet pump has no section for the steering: the steering draws on the pressure supply, ' +
      'unless it is of a different kind',
    remedy:
      'count the outlets of the pump and follow the steering feed pipe to where it starts; correct ' +
      'pumpKind or steeringSupply, or set the one that nobody has seen to "unverified"',
  },
];
