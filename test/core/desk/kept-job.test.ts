import fc from 'fast-check';
import {
  afterStored,
  changesOf,
  completionOf,
  decided,
  hasUnsent,
  newJob,
  rebased,
  shownEntry,
  withFields,
  type Sheet,
} from '../../../src/desk/pages/job-sheets/job/kept-job';
import { ODOMETER, PRECHARGE, sheet } from './made-jobs';

const nothingRefused = () => false;
const KEY = PRECHARGE.key;
const typed = withFields(newJob(sheet()), KEY, { pressureBarGauge: 47 });
const withEntry = (fields: object, revision = 2): Sheet =>
  sheet({ revision, entries: [{ key: KEY, ...fields }] });

it('sends whole entries of what was typed, and nothing once it is stored', () => {
  const known = withFields(newJob(withEntry({ note: 'cold' })), KEY, { pressureBarGauge: 47 });
  const changes = changesOf(known, nothingRefused);
  expect(changes).toEqual({ entries: [{ key: KEY, note: 'cold', pressureBarGauge: 47 }] });
  const stored = afterStored(known, changes ?? {}, withEntry({ note: 'cold', pressureBarGauge: 47 }, 3));
  expect(hasUnsent(stored)).toBe(false);
  expect(changesOf(stored, nothingRefused)).toBeNull();
});

it('keeps what is typed while the rest is on its way', () => {
  const changes = changesOf(typed, nothingRefused) ?? {};
  const more = withFields(withFields(typed, KEY, { pressureBarGauge: 47.5 }), ODOMETER.key, {
    odometer: 61_240,
  });
  const after = afterStored(more, changes, withEntry({ pressureBarGauge: 47 }));
  expect(after.conflicts).toEqual([]);
  expect(shownEntry(after, KEY).pressureBarGauge).toBe(47.5);
  expect(shownEntry(after, ODOMETER.key).odometer).toBe(61_240);
});

it('forgets an edit that is taken back', () => {
  expect(hasUnsent(withFields(typed, KEY, { pressureBarGauge: null }))).toBe(false);
});

it("merges somebody else's fields, and puts two values of one field side by side", () => {
  const other = rebased(typed, withEntry({ gasTemperatureC: 12 }));
  expect(other.conflicts).toEqual([]);
  expect(changesOf(other, nothingRefused)).toEqual({
    entries: [{ key: KEY, gasTemperatureC: 12, pressureBarGauge: 47 }],
  });

  const same = rebased(typed, withEntry({ pressureBarGauge: 47 }));
  expect(hasUnsent(same)).toBe(false);

  const disputed = rebased(typed, withEntry({ pressureBarGauge: 52 }));
  const [conflict] = disputed.conflicts;
  expect(conflict).toEqual({ stepKey: KEY, field: 'pressureBarGauge', theirs: 52 });
  // neither overwrites the other before somebody decides
  expect(changesOf(disputed, nothingRefused)).toBeNull();
  expect(hasUnsent(disputed)).toBe(true);
  const mine = decided(disputed, conflict!, true);
  expect(changesOf(mine, nothingRefused)).toEqual({ entries: [{ key: KEY, pressureBarGauge: 47 }] });
  const theirs = decided(disputed, conflict!, false);
  expect(shownEntry(theirs, KEY).pressureBarGauge).toBe(52);
  expect(hasUnsent(theirs)).toBe(false);
});

it('keeps a dispute that is not decided when the sheet changes once more', () => {
  const disputed = rebased(typed, withEntry({ pressureBarGauge: 52 }));
  const later = rebased(disputed, withEntry({ pressureBarGauge: 52, note: 'checked' }, 3));
  expect(later.conflicts).toHaveLength(1);
});

it('merges lists item by item', () => {
  const part = (item: string) => ({ item, quantity: 1, unit: 'pc' });
  const before = sheet({ partsUsed: [part('hose'), part('seal')] });
  const job = newJob(before);
  const mine = { ...job, edits: { ...job.edits, partsUsed: [part('hose'), part('clip')] } };
  const merged = rebased(
    mine,
    sheet({ revision: 2, partsUsed: [part('hose'), part('seal'), part('filter')] }),
  );
  expect(merged.edits.partsUsed?.map(({ item }) => item)).toEqual(['hose', 'filter', 'clip']);
});

it('holds back what was refused, and sends the rest', () => {
  const job = withFields(typed, KEY, { gasTemperatureC: 400 });
  const changes = changesOf(job, (_, field) => field === 'gasTemperatureC');
  expect(changes).toEqual({ entries: [{ key: KEY, pressureBarGauge: 47 }] });
});

it('names every required step when the job is signed off, entered or not', () => {
  const body = completionOf(typed, 'somebody', null);
  expect(body.entries).toEqual([
    { key: 'odometer-reading' },
    { key: KEY, pressureBarGauge: 47 },
    { key: 'low-pressure-warning-test' },
  ]);
  expect(body).not.toHaveProperty('holdBecause');
});

it('never loses a value that was typed, whatever somebody else stores', () => {
  const value = fc.option(fc.integer({ min: 1, max: 5 }), { nil: null });
  fc.assert(
    fc.property(value, value, value, (base, mine, theirs) => {
      const start = newJob(withEntry({ pressureBarGauge: base }, 1));
      const job = rebased(
        withFields(start, KEY, { pressureBarGauge: mine }),
        withEntry({ pressureBarGauge: theirs }),
      );
      const shown = shownEntry(job, KEY).pressureBarGauge ?? null;
      const isEdited = mine !== base;
      expect(shown).toBe(isEdited ? mine : theirs);
      // somebody else's value is there to be seen unless it is the old one, or the same
      expect(job.conflicts.map((each) => each.theirs)).toEqual(
        isEdited && theirs !== base && theirs !== mine ? [theirs] : [],
      );
    }),
  );
});
