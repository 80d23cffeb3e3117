import {
  HydraulicLayout,
  RECORDABLE_VALUES,
  VARIANT_FACTS,
  VariantFact,
  VariantFacts,
} from './hydraulic-layout';
import { LAYOUT_RULES } from './layout-rules';

/** Two recorded facts that cannot both be true. */
export interface LayoutContradiction {
  code: string;
  fields: [VariantFact, VariantFact];
  reason: string;
  remedy: string;
}

/** A fact that nobody recorded and that is certain all the same. */
export interface FollowingFact {
  fact: VariantFact;
  value: string;
  /** Code of the rule it follows by. */
  by: string;
  because: string;
}

/** A value that a fact cannot have, although what it is stays unknown. */
export interface ExcludedValue {
  fact: VariantFact;
  value: string;
  by: string;
  because: string;
}

/** Where the value of a fact comes from; `disputed` means that records contradict each other over it. */
export type FactBasis = 'recorded' | 'follows' | 'unknown' | 'disputed';

/** The layout to work by. A fact that is unknown or disputed stands as `unverified`. */
export interface EffectiveLayout {
  layout: HydraulicLayout;
  basis: Record<VariantFact, FactBasis>;
}

/**
 * Pairs of recorded facts that the trade knows cannot go together. A record with one is to be refused.
 * Facts that are `unverified` contradict nothing. Order: as in `LAYOUT_RULES`.
 */
export function contradictionsIn(layout: VariantFacts): LayoutContradiction[] {
  return LAYOUT_RULES.filter(
    (rule) =>
      layout[rule.when.fact] === rule.when.is &&
      layout[rule.then.fact] !== 'unverified' &&
      !rule.then.isOneOf.includes(layout[rule.then.fact]),
  ).map((rule) => ({
    code: rule.code,
    fields: [rule.when.fact, rule.then.fact],
    reason:
      `${rule.when.fact} is recorded as "${rule.when.is}" and ${rule.then.fact} as ` +
      `"${layout[rule.then.fact]}", but ${rule.reason}`,
    remedy: rule.remedy,
  }));
}

/**
 * Facts that are certain although nobody recorded them, each with the rule it follows by. Nothing follows
 * from a disputed fact.
 */
export function factsThatFollow(layout: VariantFacts): FollowingFact[] {
  const disputed = disputedFacts(layout);
  const following: FollowingFact[] = [];
  for (const rule of LAYOUT_RULES) {
    const [value, ...others] = rule.then.isOneOf;
    if (value === undefined || others.length > 0) continue;
    if (layout[rule.when.fact] !== rule.when.is || disputed.has(rule.when.fact)) continue;
    if (layout[rule.then.fact] !== 'unverified') continue;
    following.push({
      fact: rule.then.fact,
      value,
      by: rule.code,
      because: `${rule.when.fact} is recorded as "${rule.when.is}", and ${rule.reason}`,
    });
  }
  return following;
}

/**
 * Values that an unverified fact cannot have: a steering supply that the pump rules out, a pump kind that
 * another fact rules out. A pump of a kind that the record has no word for stays possible, so excluding one
 * kind never proves the other.
 */
export function excludedValues(layout: VariantFacts): ExcludedValue[] {
  const disputed = disputedFacts(layout);
  const excluded: ExcludedValue[] = [];
  for (const rule of LAYOUT_RULES) {
    const cause = layout[rule.when.fact];
    const effect = layout[rule.then.fact];
    if (cause === rule.when.is && effect === 'unverified' && !disputed.has(rule.when.fact)) {
      // a single value left is a fact that follows, and told as one
      if (rule.then.isOneOf.length === 1) continue;
      for (const value of RECORDABLE_VALUES[rule.then.fact]) {
        if (rule.then.isOneOf.includes(value)) continue;
        const because = `${rule.when.fact} is recorded as "${cause}", and ${rule.reason}`;
        excluded.push({ fact: rule.then.fact, value, by: rule.code, because });
      }
    } else if (cause === 'unverified' && effect !== 'unverified' && !rule.then.isOneOf.includes(effect)) {
      excluded.push({
        fact: rule.when.fact,
        value: rule.when.is,
        by: rule.code,
        because: `${rule.then.fact} is recorded as "${effect}", and ${rule.reason}`,
      });
    }
  }
  return excluded;
}

/**
 * The layout to work by: what is recorded, plus what follows, less what is disputed. Fluid and reservoir are
 * taken as recorded.
 */
export function effectiveLayout(layout: HydraulicLayout): EffectiveLayout {
  const disputed = disputedFacts(layout);
  const following = new Map(factsThatFollow(layout).map((each) => [each.fact, each.value]));
  const effective: HydraulicLayout = { ...layout };
  const basis = {} as Record<VariantFact, FactBasis>;
  for (const fact of VARIANT_FACTS) {
    const followed = following.get(fact);
    if (disputed.has(fact)) {
      effective[fact] = 'unverified';
      basis[fact] = 'disputed';
    } else if (layout[fact] !== 'unverified') {
      basis[fact] = 'recorded';
    } else if (followed !== undefined) {
      Object.assign(effective, { [fact]: followed });
      basis[fact] = 'follows';
    } else {
      basis[fact] = 'unknown';
    }
  }
  return { layout: effective, basis };
}

function disputedFacts(layout: VariantFacts): Set<VariantFact> {
  return new Set(contradictionsIn(layout).flatMap((each) => each.fields));
}
