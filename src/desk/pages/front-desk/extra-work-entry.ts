import { typedNumber } from '../../format/units';

export interface ExtraWorkEntry {
  title: string;
  minutes: string;
  /** empty: anybody can do it */
  competence: string;
}

export interface ExtraWork {
  title: string;
  minutes: number;
  competences: string[];
}

export type EntryFaults = Partial<Record<'title' | 'minutes', string>>;

// what the API takes
const LONGEST_TITLE = 200;
const MOST_MINUTES = 4_800;

/** Work that a caller asks for beside what is due, or what is wrong with how it was typed. */
export function extraWorkOf(
  { title, minutes, competence }: ExtraWorkEntry,
  locale: string,
): { work: ExtraWork } | { faults: EntryFaults } {
  const words = title.trim();
  const count = typedNumber(minutes, locale);
  const faults: EntryFaults = {};
  if (words === '') faults.title = 'Say what is to be done.';
  if (words.length > LONGEST_TITLE) faults.title = `Say it in at most ${LONGEST_TITLE} letters.`;
  if (count === null || !Number.isInteger(count) || count < 1 || count > MOST_MINUTES)
    faults.minutes = `Give whole minutes from 1 to ${MOST_MINUTES}, such as 45.`;
  if (count === null || faults.title !== undefined || faults.minutes !== undefined) return { faults };
  return {
    work: { title: words, minutes: count, competences: competence === '' ? [] : [competence] },
  };
}
