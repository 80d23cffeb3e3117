import type { OwedItem } from './plan-inputs';

// What a plan counts of a workshop's day, by name. The first is the length of visits.

export const BAYS = 'bays';
export const PEOPLE = 'people';
const BAY_KIND = 'bay kind ';
const COMPETENCES = 'competence ';
/** Stands in no code of a competence. */
const BETWEEN_CODES = '+';
const BETWEEN_KINDS = '+';
const THROUGHOUT = 'throughout ';

/** Time of bays that are of all of these kinds at once. */
export function bayKindResource(kinds: readonly string[]): string {
  return `${BAY_KIND}${[...kinds].sort().join(BETWEEN_KINDS)}`;
}

/** Time of people who have all of these competences at once. */
export function competenceResource(codes: readonly string[]): string {
  return `${COMPETENCES}${[...codes].sort().join(BETWEEN_CODES)}`;
}

/** @returns null where the resource is not bays of some kinds */
export function bayKindsOf(resource: string): string[] | null {
  return resource.startsWith(BAY_KIND) ? resource.slice(BAY_KIND.length).split(BETWEEN_KINDS) : null;
}

/** @returns null where the resource is not people with competences, for some of a visit or throughout it */
export function competencesOf(resource: string): string[] | null {
  const name = resource.startsWith(THROUGHOUT) ? resource.slice(THROUGHOUT.length) : resource;
  return name.startsWith(COMPETENCES) ? name.slice(COMPETENCES.length).split(BETWEEN_CODES) : null;
}

type Needs = Pick<OwedItem, 'competences' | 'bayKind'>;

/**
 * What an item takes minutes of. Its competences have to be in one person, so it takes of people with all of them; and of
 * people with each, for whom other work competes that needs just one.
 */
export function resourcesTakenBy({ competences, bayKind }: Needs): string[] {
  return [
    BAYS,
    PEOPLE,
    ...(bayKind === null ? [] : [bayKindResource([bayKind])]),
    ...competences.map((code) => competenceResource([code])),
    ...(competences.length > 1 ? [competenceResource(competences)] : []),
  ];
}

/** All that visits for items can take minutes of, bays first; last what is made of others, with what it is made of. */
export function resourcesOf(items: readonly Needs[]): { resources: string[]; joint: number[][] } {
  const others = new Set(items.flatMap(resourcesTakenBy));
  others.delete(BAYS);
  others.delete(PEOPLE);
  const single = [BAYS, PEOPLE, ...[...others].sort()];
  const kinds = [...new Set(items.flatMap(({ bayKind }) => bayKind ?? []))].sort();
  // work for three kinds needs a bay for each two of them; whether one has all three shows in the diary
  const pairs = kinds.flatMap((one, at) => kinds.slice(at + 1).map((other) => [one, other]));
  // who is needed for some of a visit is there throughout
  const people = single.filter((name) => competencesOf(name) !== null);
  return {
    resources: [...single, ...pairs.map(bayKindResource), ...people.map((name) => `${THROUGHOUT}${name}`)],
    joint: [
      ...pairs.map((pair) => pair.map((kind) => single.indexOf(bayKindResource([kind])))),
      ...people.map((name) => [single.indexOf(name)]),
    ],
  };
}
