import type { Tone } from '../../../design/tone';
import type { DueItem } from '../vehicle-queries';

export const DUE_TONES: Record<DueItem['state'], Tone> = {
  overdue: 'bad',
  due: 'warn',
  'due-soon': 'info',
  'not-due': 'good',
  undetermined: 'unknown',
};

export const DUE_WORDS: Record<DueItem['state'], string> = {
  overdue: 'Overdue',
  due: 'Due',
  'due-soon': 'May be done now',
  'not-due': 'Not due',
  undetermined: 'Cannot be told',
};

const DRIVER_WORDS: Record<NonNullable<DueItem['driver']>, string> = {
  'failed-test': 'a failed test',
  condition: 'condition',
  age: 'age',
  time: 'time',
  distance: 'distance',
  hours: 'engine hours',
};

export const driverWords = (driver: DueItem['driver']): string =>
  driver === null ? '' : DRIVER_WORDS[driver];
