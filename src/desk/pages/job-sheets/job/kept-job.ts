import type { Schemas } from '../../../api/client';
import type { JobPlace } from './job-place';
import type { Stopwatch } from './stopwatch';

export type Sheet = Schemas['JobSheetDto'];
export type Step = Schemas['SheetStepDto'];
export type Entry = Schemas['StepEntryDto'];
export type EntryField = Exclude<keyof Entry, 'key'>;
export type EntryValue = Entry[EntryField];
export type Part = Schemas['PartUsedDto'];
export type Found = Schemas['FoundWorkDto'];
export type SheetChanges = Schemas['UpdateJobSheetDto'];
export type Completion = Schemas['CompleteJobSheetDto'];

/** What was entered here and is not in the sheet yet. */
export interface Edits {
  /** by step; null empties a field */
  entries: Record<string, Partial<Record<EntryField, EntryValue>>>;
  /** whole lists; null where nothing was changed */
  partsUsed: Part[] | null;
  workFound: Found[] | null;
}

/** A field that somebody else filled differently meanwhile. Neither of the two is lost before somebody decides. */
export interface Conflict {
  stepKey: string;
  field: EntryField;
  theirs: EntryValue;
}

/** A signed-off job on its way: sent until it is answered, always with the same key and the same contents. */
export interface Attempt {
  key: string;
  revision: number;
  body: Completion;
}

/** A job as it stands on this device. Plain data, kept as JSON. */
export interface KeptJob {
  /** as the service last answered it */
  sheet: Sheet;
  edits: Edits;
  conflicts: Conflict[];
  attempt: Attempt | null;
  /** by step */
  stopwatches: Record<string, Stopwatch>;
  /** what else the page shows; null until it was read once */
  place: JobPlace | null;
}

const NO_EDITS: Edits = { entries: {}, partsUsed: null, workFound: null };

export function newJob(sheet: Sheet): KeptJob {
  return { sheet, edits: NO_EDITS, conflicts: [], attempt: null, stopwatches: {}, place: null };
}

/** The entry of a step with what was typed here. */
export function shownEntry({ sheet, edits }: Pick<KeptJob, 'sheet' | 'edits'>, stepKey: string): Entry {
  return { key: stepKey, ...storedEntry(sheet, stepKey), ...edits.entries[stepKey] } as Entry;
}

export const shownParts = ({ sheet, edits }: KeptJob): Part[] => edits.partsUsed ?? sheet.partsUsed;
export const shownFound = ({ sheet, edits }: KeptJob): Found[] => edits.workFound ?? sheet.workFound;

/** Whether something is on this device only. */
export function hasUnsent({ edits, attempt }: Pick<KeptJob, 'edits' | 'attempt'>): boolean {
  const typed = Object.values(edits.entries).some((fields) => Object.keys(fields).length > 0);
  return typed || edits.partsUsed !== null || edits.workFound !== null || attempt !== null;
}

/** Takes what was typed for a step; a field that is back at what the sheet says is no edit. */
export function withFields(
  job: KeptJob,
  stepKey: string,
  fields: Partial<Record<EntryField, EntryValue>>,
): KeptJob {
  const stored = storedEntry(job.sheet, stepKey);
  const all = { ...job.edits.entries[stepKey], ...fields };
  const disputed = (field: string): boolean =>
    job.conflicts.some((each) => each.stepKey === stepKey && each.field === field);
  const edited = Object.entries(all).filter(
    ([field, value]) => disputed(field) || !isSame(value, stored?.[field as EntryField]),
  );
  return withEntries(job, { ...job.edits.entries, [stepKey]: Object.fromEntries(edited) });
}

/** Decides on a field that two people filled. */
export function decided(job: KeptJob, conflict: Conflict, keepMine: boolean): KeptJob {
  const { stepKey, field } = conflict;
  const conflicts = job.conflicts.filter((each) => each.stepKey !== stepKey || each.field !== field);
  const rest = { ...job, conflicts };
  return keepMine ? rest : withFields(rest, stepKey, { [field]: conflict.theirs });
}

/**
 * Puts a later state of the sheet under what was typed here. A field that nobody else changed stays as typed; one that
 * somebody else filled differently becomes a conflict; lists keep what either side added and lose what either took out.
 */
export function rebased(job: KeptJob, fresh: Sheet): KeptJob {
  const conflicts: Conflict[] = [];
  const entries: Edits['entries'] = {};
  for (const [stepKey, fields] of Object.entries(job.edits.entries)) {
    const [before, now] = [storedEntry(job.sheet, stepKey), storedEntry(fresh, stepKey)];
    for (const [name, mine] of Object.entries(fields)) {
      const field = name as EntryField;
      const theirs = now?.[field] ?? null;
      if (isSame(theirs, mine)) continue;
      (entries[stepKey] ??= {})[field] = mine;
      const disputed = job.conflicts.some((each) => each.stepKey === stepKey && each.field === field);
      if (disputed || !isSame(theirs, before?.[field])) conflicts.push({ stepKey, field, theirs });
    }
  }
  const { partsUsed, workFound } = job.edits;
  const edits = {
    entries,
    partsUsed: mergedList(job.sheet.partsUsed, fresh.partsUsed, partsUsed),
    workFound: mergedList(job.sheet.workFound, fresh.workFound, workFound),
  };
  return { ...job, sheet: fresh, edits, conflicts };
}

/**
 * What can be stored now: whole entries of the steps that were edited, without fields in dispute and without those that
 * were refused as they are.
 *
 * @param refused of a step and a field
 * @returns null where there is nothing
 */
export function changesOf(
  job: KeptJob,
  refused: (stepKey: string, field: EntryField) => boolean,
): SheetChanges | null {
  const { sheet, edits, conflicts } = job;
  const isHeld = (stepKey: string, field: EntryField): boolean =>
    refused(stepKey, field) || conflicts.some((each) => each.stepKey === stepKey && each.field === field);
  const entries = sheet.steps.flatMap(({ key }): Entry[] => {
    const sendable = Object.entries(edits.entries[key] ?? {}).filter(
      ([field]) => !isHeld(key, field as EntryField),
    );
    if (sendable.length === 0) return [];
    return [{ ...storedEntry(sheet, key), ...Object.fromEntries(sendable), key }];
  });
  const { partsUsed, workFound } = edits;
  if (entries.length === 0 && partsUsed === null && workFound === null) return null;
  return {
    ...(entries.length === 0 ? {} : { entries }),
    ...(partsUsed === null ? {} : { partsUsed }),
    ...(workFound === null ? {} : { workFound }),
  };
}

/** After these changes were stored: what was typed since stays an edit. */
export function afterStored(job: KeptJob, sent: SheetChanges, answer: Sheet): KeptJob {
  const entries: Edits['entries'] = {};
  for (const [stepKey, fields] of Object.entries(job.edits.entries)) {
    const stored = sent.entries?.find(({ key }) => key === stepKey);
    const left = Object.entries(fields).filter(
      ([field, value]) => stored === undefined || !isSame(stored[field as EntryField], value),
    );
    if (left.length > 0) entries[stepKey] = Object.fromEntries(left);
  }
  const { partsUsed, workFound } = job.edits;
  return {
    ...job,
    sheet: answer,
    // signed off while this was on its way, and not sent yet
    attempt: job.attempt === null ? null : { ...job.attempt, revision: answer.revision },
    edits: {
      entries,
      partsUsed: isSame(partsUsed, sent.partsUsed) ? null : partsUsed,
      workFound: isSame(workFound, sent.workFound) ? null : workFound,
    },
  };
}

/** Everything that was entered, signed off: a required step is named although nothing was entered for it. */
export function completionOf(job: KeptJob, signedOffBy: string, holdBecause: string | null): Completion {
  const entries = job.sheet.steps.flatMap((step): Entry[] => {
    const entry = shownEntry(job, step.key);
    const given = Object.entries(entry).filter(([, value]) => value !== null);
    return given.length > 1 || step.required ? [Object.fromEntries(given) as unknown as Entry] : [];
  });
  const lists = { partsUsed: shownParts(job), workFound: shownFound(job) };
  return { entries, ...lists, signedOffBy, ...(holdBecause === null ? {} : { holdBecause }) };
}

/** What was typed for steps that are no longer on the sheet. */
export function strayEntries({ sheet, edits }: KeptJob): [stepKey: string, fields: object][] {
  return Object.entries(edits.entries).filter(([key]) => !sheet.steps.some((step) => step.key === key));
}

function withEntries(job: KeptJob, entries: Edits['entries']): KeptJob {
  const some = Object.entries(entries).filter(([, fields]) => Object.keys(fields).length > 0);
  return { ...job, edits: { ...job.edits, entries: Object.fromEntries(some) } };
}

function storedEntry({ entries }: Sheet, stepKey: string): Entry | undefined {
  return entries.find(({ key }) => key === stepKey);
}

function mergedList<Item>(before: readonly Item[], theirs: Item[], mine: Item[] | null): Item[] | null {
  if (mine === null || isSame(before, theirs)) return isSame(mine, theirs) ? null : mine;
  const has = (list: readonly Item[], item: Item): boolean => list.some((each) => isSame(each, item));
  const merged = [
    ...theirs.filter((item) => has(mine, item) || !has(before, item)),
    ...mine.filter((item) => !has(before, item) && !has(theirs, item)),
  ];
  return isSame(merged, theirs) ? null : merged;
}

/** Empty is empty, whether it was never filled or was emptied; the order of fields means nothing. */
function isSame(one: unknown, other: unknown): boolean {
  return JSON.stringify(one ?? null, plainly) === JSON.stringify(other ?? null, plainly);
}

function plainly(_: string, value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  const given = Object.entries(value).filter(([, each]) => each !== null && each !== undefined);
  return Object.fromEntries(given.sort(([a], [b]) => (a < b ? -1 : 1)));
}
