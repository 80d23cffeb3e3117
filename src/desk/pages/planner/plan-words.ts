import { numberText } from '../../format/units';
import type { components } from '../../generated/contract';
import { moneyText } from './money';

type Schemas = components['schemas'];
export type DowntimePlan = Schemas['DowntimePlanDto'];
export type PlanFigures = Schemas['PlanFiguresDto'];
export type PlanState = DowntimePlan['state'];
export type PlanOutcome = Schemas['PlanOutcomeDto'];

/** Of a mark: see the design. */
type Tone = 'good' | 'info' | 'warn' | 'bad' | 'unknown';

export const PLAN_STATES: Record<PlanState, { words: string; tone: Tone }> = {
  queued: { words: 'Waiting to be made', tone: 'unknown' },
  running: { words: 'Being made', tone: 'info' },
  ready: { words: 'Ready', tone: 'good' },
  accepting: { words: 'Being booked', tone: 'info' },
  accepted: { words: 'All booked', tone: 'good' },
  impossible: { words: 'Cannot be', tone: 'bad' },
  failed: { words: 'Could not be made', tone: 'bad' },
};

export const isUnderWay = (state: PlanState): boolean =>
  state === 'queued' || state === 'running' || state === 'accepting';

export const EFFORTS: Record<DowntimePlan['effort'], string> = {
  quick: 'Quick: some seconds',
  normal: 'Normal: about a minute',
  thorough: 'Thorough: some minutes',
};

export const PHASES: Record<NonNullable<Schemas['PlanProgressDto']['phase']>, string> = {
  reading: 'Reading what is due and what is free',
  'first-plan': 'Making a first plan',
  bound: 'Working out what no plan can beat',
  search: 'Looking for a cheaper plan',
  'tighten-bound': 'Proving how good it is',
  explaining: 'Working out the reasons',
};

export const REASONS: Record<Schemas['PlannedItemDto']['reason'], { words: string; tone: Tone }> = {
  'on-due-day': { words: 'On its due date', tone: 'good' },
  'due-day-outside-window': { words: 'Due date not possible', tone: 'warn' },
  'runs-short': { words: 'Something runs short', tone: 'warn' },
  'cheaper-this-way': { words: 'Cheaper this way', tone: 'info' },
  locked: { words: 'Locked by hand', tone: 'info' },
  'left-out': { words: 'Left out', tone: 'bad' },
};

export const ACCEPTANCES: Record<Schemas['PlannedVisitDto']['acceptance'], { words: string; tone: Tone }> = {
  open: { words: 'Not booked yet', tone: 'unknown' },
  booked: { words: 'Booked', tone: 'good' },
  refused: { words: 'Refused', tone: 'bad' },
};

/** A line of a table of figures. */
export interface FigureLine {
  key: keyof PlanFigures;
  words: string;
  isMoney: boolean;
}

export const FIGURE_LINES: readonly FigureLine[] = [
  { key: 'visits', words: 'Visits', isMoney: false },
  { key: 'offRoadDays', words: 'Off-road days', isMoney: false },
  { key: 'itemsDone', words: 'Pieces of work done', isMoney: false },
  { key: 'itemsLeftOut', words: 'Left out', isMoney: false },
  { key: 'itemsTooLate', words: 'After their late limit', isMoney: false },
  { key: 'daysLate', words: 'Days late, all together', isMoney: false },
  { key: 'daysEarly', words: 'Days early, all together', isMoney: false },
  { key: 'visitCostMinor', words: 'The visits themselves', isMoney: true },
  { key: 'earlyCostMinor', words: 'Life given away', isMoney: true },
  { key: 'lateCostMinor', words: 'Risk of being late', isMoney: true },
  { key: 'leftOutCostMinor', words: 'Work left out', isMoney: true },
  { key: 'costMinor', words: 'All together', isMoney: true },
];

export function figureText(
  { key, isMoney }: FigureLine,
  figures: PlanFigures,
  currency: string,
  locale: string,
): string {
  return isMoney ? moneyText(figures[key], currency, locale) : numberText(figures[key], locale, 0);
}

/** What the proven bound says, in plain words. Rounded up: less must not be promised than was proven. */
export function gapWords(gapPercent: number, locale: string): string {
  if (gapPercent <= 0) return 'No plan can be cheaper: this is the best there is.';
  const percent = Math.ceil(gapPercent * 10) / 10;
  return `No plan can be more than ${numberText(percent, locale, 1)} % cheaper.`;
}

/** What the plan saves against another way to do it. */
export function savingWords(outcome: PlanOutcome, against: 'naive' | 'booked', locale: string): string {
  const { currency, plan } = outcome;
  const saved = outcome[against].costMinor - plan.costMinor;
  const what = against === 'naive' ? 'each piece of work on its due date' : 'what is booked today';
  if (saved === 0) return `As dear as ${what}.`;
  return `${moneyText(Math.abs(saved), currency, locale)} ${saved > 0 ? 'cheaper' : 'dearer'} than ${what}.`;
}
