import { CalendarDate, localDateAt } from '../shared/calendar-date';
import { intersectionOf } from './instant-set';
import { Diary, prepareDiary } from './prepare-diary';
import {
  relaxBayKind,
  relaxCompetence,
  relaxOpening,
  relaxTechnicians,
  relaxVehicle,
  Setting,
} from './relaxations';
import { searchDiary } from './search-diary';
import { DiaryQuestion, Slot, Workshop } from './workshop';

/**
 * What is in the way of a job:
 * - `competence`, `bay-kind`, `technicians` (people at all), `vehicle`: too little of it is free
 * - `opening`: the workshops are shut
 * - `job-length`: the job is longer than the opening hours allow, or than any gap between the bookings
 * - `combination`: two or more of these at once
 */
export type Scarcity =
  | { readonly kind: 'competence'; readonly competence: string }
  | { readonly kind: 'bay-kind'; readonly bayKinds: readonly string[] }
  | { readonly kind: 'technicians' }
  | { readonly kind: 'vehicle' }
  | { readonly kind: 'opening' }
  | { readonly kind: 'job-length'; readonly against: 'opening' | 'bookings'; readonly longestMinutes: number }
  | { readonly kind: 'combination' };

/** A thing of which more would be enough by itself. */
export interface Remedy {
  readonly scarcity: Scarcity;
  /** At how many starts the job would fit, and the first of them. */
  readonly starts: number;
  readonly firstStartsAt: number;
}

export interface NothingFree {
  readonly scarcest: Scarcity;
  /** The most helpful first. */
  readonly remedies: readonly Remedy[];
  /** The first slot after the range, null where there is none up to the limit. */
  readonly firstFit: Slot | null;
  /** Its local date at the workshop. */
  readonly firstFitOn: CalendarDate | null;
  readonly searchedUntilAt: number;
}

/**
 * Names what is in the way of a job for which a range has no slot, and the first date on which it would fit.
 *
 * One thing at a time is given away (a competence not asked for, one more bay or enough more technicians, a
 * vehicle that is always there, doors that never shut); the scarcest is the one without which the job would
 * fit at the most starts. A single competence is named rather than technicians at large. Where no single thing
 * helps: the length of the job, if a shorter one would fit; or else what would stop the job by itself.
 *
 * @param diary covers the range, which has no slot
 * @param searchUntilAt limit of the search for the first date
 */
export function explainNothingFree(
  workshops: readonly Workshop[],
  diary: Diary,
  question: DiaryQuestion,
  searchUntilAt: number,
): NothingFree {
  const { scarcest, remedies } = scarcestOf({ workshops, question }, diary);
  const firstFit = firstSlotUntil(workshops, question, searchUntilAt);
  const zone = workshops.find(({ id }) => id === firstFit?.workshopId)?.opening.zone;
  return {
    scarcest,
    remedies,
    firstFit,
    firstFitOn: firstFit === null || zone === undefined ? null : localDateAt(firstFit.startsAt, zone),
    searchedUntilAt: Math.max(searchUntilAt, question.untilAt),
  };
}

interface Relaxation {
  readonly scarcity: Scarcity;
  readonly relax: (setting: Setting) => Setting;
}

/** Finds up to a number of slots in a setting. */
type Search = (setting: Setting, count: number) => Slot[];

function scarcestOf(setting: Setting, diary: Diary): { scarcest: Scarcity; remedies: readonly Remedy[] } {
  const { workshops, question } = setting;
  const { fromAt, untilAt } = question;
  if (diary.workshops.every(({ open }) => intersectionOf(open, [fromAt, untilAt]).length === 0))
    return { scarcest: { kind: 'opening' }, remedies: [] };

  const clocks = new Map(diary.workshops.map(({ clock }) => [clock.zone, clock]));
  const search: Search = (asked, count) =>
    searchDiary(
      asked.workshops === workshops ? diary : prepareDiary(asked.workshops, fromAt, untilAt, clocks),
      { ...asked.question, count },
    );

  const everything = relaxAll(relaxationsFor(question), setting, ['opening']);
  if (search(everything, 1).length === 0) {
    const longestMinutes = longestFit(everything, search);
    return { scarcest: { kind: 'job-length', against: 'opening', longestMinutes }, remedies: [] };
  }
  const remedies = remediesFor(setting, search);
  if (remedies[0] !== undefined) return { scarcest: remedies[0].scarcity, remedies };
  const longestMinutes = longestFit(setting, search);
  if (longestMinutes > 0)
    return { scarcest: { kind: 'job-length', against: 'bookings', longestMinutes }, remedies };
  return { scarcest: blockingAlone(setting, search) ?? { kind: 'combination' }, remedies };
}

function relaxationsFor({ job }: DiaryQuestion): Relaxation[] {
  const competences = [...new Set(job.needed.flatMap((needed) => needed.competences))].sort();
  return [
    ...competences.map((competence): Relaxation => ({
      scarcity: { kind: 'competence', competence },
      relax: (setting) => relaxCompetence(setting, competence),
    })),
    { scarcity: { kind: 'bay-kind', bayKinds: job.bayKinds }, relax: relaxBayKind },
    { scarcity: { kind: 'technicians' }, relax: relaxTechnicians },
    { scarcity: { kind: 'vehicle' }, relax: relaxVehicle },
    { scarcity: { kind: 'opening' }, relax: relaxOpening },
  ];
}

function relaxAll(
  relaxations: readonly Relaxation[],
  setting: Setting,
  but: readonly Scarcity['kind'][],
): Setting {
  return relaxations
    .filter(({ scarcity }) => !but.includes(scarcity.kind))
    .reduce((relaxed, { relax }) => relax(relaxed), setting);
}

function remediesFor(setting: Setting, search: Search): Remedy[] {
  const remedies = relaxationsFor(setting.question).flatMap(({ scarcity, relax }): Remedy[] => {
    const slots = search(relax(setting), Number.MAX_SAFE_INTEGER);
    const [first] = slots;
    return first === undefined ? [] : [{ scarcity, starts: slots.length, firstStartsAt: first.startsAt }];
  });
  const isCompetenceScarce = remedies.some(({ scarcity }) => scarcity.kind === 'competence');
  return remedies
    .filter(({ scarcity }) => !(isCompetenceScarce && scarcity.kind === 'technicians'))
    .sort((a, b) => b.starts - a.starts);
}

// The first thing that would stop the job if all the rest were free. People at large come before what they can
// do: where nobody is there, nobody with a competence is.
function blockingAlone(setting: Setting, search: Search): Scarcity | null {
  const all = relaxationsFor(setting.question).filter(({ scarcity }) => scarcity.kind !== 'opening');
  const people = all.filter(({ scarcity }) => scarcity.kind === 'technicians');
  const competences = all.filter(({ scarcity }) => scarcity.kind === 'competence');
  for (const kept of [...people, ...all.filter((one) => !people.includes(one))]) {
    const rest = all.filter((one) => one !== kept);
    // more people would bring the competence with them
    const alone = relaxAll(rest, setting, competences.includes(kept) ? ['technicians'] : []);
    if (search(alone, 1).length === 0) return kept.scarcity;
  }
  return null;
}

// Minutes of the longest job of this sort that has a slot, 0 for none; by halving, as a shorter job fits where a
// longer one does.
function longestFit(setting: Setting, search: Search): number {
  const fits = (minutes: number): boolean => {
    const job = { ...setting.question.job, minutes };
    return search({ ...setting, question: { ...setting.question, job } }, 1).length > 0;
  };
  let [low, high] = [0, setting.question.job.minutes];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (fits(middle)) low = middle;
    else high = middle;
  }
  return low;
}

function firstSlotUntil(
  workshops: readonly Workshop[],
  question: DiaryQuestion,
  searchUntilAt: number,
): Slot | null {
  if (searchUntilAt <= question.untilAt) return null;
  const diary = prepareDiary(workshops, question.fromAt, searchUntilAt);
  return searchDiary(diary, { ...question, untilAt: searchUntilAt, count: 1 })[0] ?? null;
}
