import type { OwedItem } from './plan-inputs';

// What a plan counts of a workshop's day, by name. The first is the length of visits.

export const BAYS = 'bays';
export const PEOPLE = 'people';
const BAY_KIND = 'bay kind ';
const COMPETENCES = 'competence ';
/** Stands in no code of a competence. */
const BETWEEN_CODES = '+';

export function bayKindResource(kind: string): string {
  return `${BAY_KIND}${kind}`;
}

/** Time of people who have all of these competences at once. */
export function competenceResource(codes: readonly string[]): string {
  return `${COMPETENCES}${[...codes].sort().join(BETWEEN_CODES)}`;
}

/** @returns null where the resource is not bays of a kind */
export function bayKindOf(resource: string): string | null {
  return resource.startsWith(BAY_KIND) ? resource.slice(BAY_KIND.length) : null;
}

/** @returns null where the resource is not people with competences */
export function competencesOf(resource: string): string[] | null {
  return resource.startsWith(COMPETENCES) ? resource.slice(COMPETENCES.length).split(BETWEEN_CODES) : null;
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
    ...(bayKind === null ? [] : [bayKindResource(bayKind)]),
    ...competences.map((code) => competenceResource([code])),
    ...(competences.length > 1 ? [competenceResource(competences)] : []),
  ];
}

/** All that items take minutes of, bays first. */
export function resourcesOf(items: readonly Needs[]): string[] {
  const others = new Set(items.flatMap(resourcesTakenBy));
  others.delete(BAYS);
  others.delete(PEOPLE);
  return [BAYS, PEOPLE, ...[...others].sort()];
}
