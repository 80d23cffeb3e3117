import type { Tone } from '../../design/state-mark';
import type { DueState } from './due-matrix';

export const DUE_WORDS: Record<DueState, { words: string; tone: Tone }> = {
  overdue: { words: 'Overdue', tone: 'bad' },
  due: { words: 'Due', tone: 'warn' },
  'due-soon': { words: 'May be done', tone: 'info' },
  'not-due': { words: 'Not due yet', tone: 'good' },
  undetermined: { words: 'Cannot be told', tone: 'unknown' },
};
