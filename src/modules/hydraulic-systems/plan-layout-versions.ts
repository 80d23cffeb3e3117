import {
  isRecorded,
  LAYOUT_FACTS,
  UNVERIFIED_LAYOUT,
  type HydraulicLayout,
  type LayoutEvidence,
  type LayoutEvidenceByFact,
  type LayoutFact,
} from '../../core/hydraulics/hydraulic-layout';
import { contradictionsIn } from '../../core/hydraulics/layout-conclusions';
import type { CalendarDate } from '../../core/shared/calendar-date';
import { noSuchVehicle } from '../../platform/bulk/planned-row';
import type { FieldError } from '../../platform/errors/coded-error';
import { contradictionFields, seenInTheFuture } from './hydraulic-systems.errors';

/**
 * A layout as a file states it; its fields are valid by themselves. A fact that is left out or empty stays as
 * it is on record, `unverified` takes it back. The evidence goes for every stated fact.
 */
export type LayoutRow = { vehicleId: string } & { [Fact in LayoutFact]?: HydraulicLayout[Fact] | null } & {
  [Member in keyof LayoutEvidence]?: string | null;
};

/** What was, or is to be, on record. */
export interface KnownVersion {
  layout: HydraulicLayout;
  evidence: LayoutEvidenceByFact;
}

export type PlannedLayout =
  | { outcome: 'rejected'; errors: FieldError[] }
  | { outcome: 'unchanged'; vehicleId: string }
  | { outcome: 'created' | 'updated'; vehicleId: string; before: KnownVersion | null; after: KnownVersion };

/**
 * Decides what becomes of each row. A row that repeats what is on record changes nothing; with evidence, that
 * goes for superseded versions as well: a file that is imported again does not undo a later correction.
 *
 * @param versionsOf every version of the vehicle, earliest first
 * @param todayOnOf today at the vehicle's depot; null for a vehicle that does not exist
 */
export function planLayoutVersions(
  rows: readonly LayoutRow[],
  versionsOf: (vehicleId: string) => readonly KnownVersion[],
  todayOnOf: (vehicleId: string) => CalendarDate | null,
): PlannedLayout[] {
  const known = new Map<string, KnownVersion[]>();
  return rows.map((row): PlannedLayout => {
    const { vehicleId } = row;
    const todayOn = todayOnOf(vehicleId);
    if (todayOn === null) return { outcome: 'rejected', errors: [noSuchVehicle(vehicleId)] };
    const versions = known.get(vehicleId) ?? [...versionsOf(vehicleId)];
    known.set(vehicleId, versions);

    const { evidence, errors } = evidenceOfRow(row, todayOn);
    if (errors.length > 0) return { outcome: 'rejected', errors };
    const before = versions.at(-1) ?? null;
    const compared = evidence === null ? [before ?? NOTHING_KNOWN] : [NOTHING_KNOWN, ...versions];
    if (compared.some((version) => says(version, row, evidence))) return { outcome: 'unchanged', vehicleId };
    const after = merged(before ?? NOTHING_KNOWN, row, evidence);
    const contradictions = contradictionsIn(after.layout);
    if (contradictions.length > 0) {
      return { outcome: 'rejected', errors: contradictionFields(contradictions) };
    }
    versions.push(after);
    return { outcome: before === null ? 'created' : 'updated', vehicleId, before, after };
  });
}

const NOTHING_KNOWN: KnownVersion = { layout: UNVERIFIED_LAYOUT, evidence: {} };

function evidenceOfRow(
  { seenBy = null, seenOn = null, how = null }: LayoutRow,
  todayOn: CalendarDate,
): { evidence: LayoutEvidence | null; errors: FieldError[] } {
  if (seenBy === null && seenOn === null && how === null) return { evidence: null, errors: [] };
  if (seenBy === null || seenOn === null || how === null) {
    const missing = Object.entries({ seenBy, seenOn, how }).filter(([, value]) => value === null);
    const errors = missing.map(([column]) => ({
      pointer: `#/${column}`,
      detail: `${column} is missing`,
      remedy: 'say who saw it, on which day and how, or leave all three empty',
    }));
    return { evidence: null, errors };
  }
  const errors = seenOn > todayOn ? [seenInTheFuture('#/seenOn', seenOn, todayOn)] : [];
  return { evidence: { seenBy, seenOn, how }, errors };
}

function says(version: KnownVersion, row: LayoutRow, evidence: LayoutEvidence | null): boolean {
  return statedFacts(row).every(
    (fact) =>
      version.layout[fact] === row[fact] &&
      (evidence === null || !isRecorded(version.layout, fact) || isSame(version.evidence[fact], evidence)),
  );
}

function merged(before: KnownVersion, row: LayoutRow, evidence: LayoutEvidence | null): KnownVersion {
  const stated = statedFacts(row);
  const layout: HydraulicLayout = { ...before.layout };
  for (const fact of stated) Object.assign(layout, { [fact]: row[fact] });
  const kept = LAYOUT_FACTS.flatMap((fact): [LayoutFact, LayoutEvidence][] => {
    if (!isRecorded(layout, fact)) return [];
    const same = layout[fact] === before.layout[fact];
    const seen = (stated.includes(fact) ? evidence : null) ?? (same ? before.evidence[fact] : undefined);
    return seen === undefined ? [] : [[fact, seen]];
  });
  return { layout, evidence: Object.fromEntries(kept) };
}

function statedFacts(row: LayoutRow): LayoutFact[] {
  return LAYOUT_FACTS.filter((fact) => (row[fact] ?? null) !== null);
}

function isSame(a: LayoutEvidence | undefined, b: LayoutEvidence): boolean {
  return a?.seenBy === b.seenBy && a.seenOn === b.seenOn && a.how === b.how;
}
