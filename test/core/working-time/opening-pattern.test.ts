import { InputError } from '../../../src/core/shared/input-error';
import { instantAtLocalTime } from '../../../src/core/shared/local-time';
import { openIntervals, workingMinutes } from '../../../src/core/working-time/open-intervals';
import type { OpeningPattern } from '../../../src/core/working-time/opening-pattern';
import { addWorkingDays } from '../../../src/core/working-time/working-days';

// What closes and opens on a date is a choice of this project: common practice, no published source.

const ZONE = 'Europe/London';
const at = (on: string, time = '00:00') => instantAtLocalTime(on, time, ZONE);
const minutesOn = (on: string, next: string, pattern: Omit<OpeningPattern, 'zone'>) =>
  workingMinutes({ zone: ZONE, ...pattern }, at(on), at(next));
const DAY = [{ from: '08:00', until: '17:00' }];
const NIGHT = [{ from: '22:00', until: '06:00' }];
const SHORT = [{ from: '10:00', until: '12:00' }];

// 2025-05-05 is a Monday
test('an exception opens on a holiday, and a closure wins over both', () => {
  const weekly = { 1: DAY };
  const holidaysOn = ['2025-05-05'];
  const exceptions = [{ on: '2025-05-05', windows: SHORT }];
  const of = (pattern: Omit<OpeningPattern, 'zone' | 'weekly'>) =>
    minutesOn('2025-05-05', '2025-05-06', { weekly, ...pattern });
  expect(of({})).toBe(540);
  expect(of({ holidaysOn })).toBe(0);
  expect(of({ holidaysOn, exceptions })).toBe(120);
  expect(of({ holidaysOn, exceptions, closedOn: ['2025-05-05'] })).toBe(0);
});

test('a night shift belongs to the date on which it starts', () => {
  const weekly = { 7: NIGHT, 1: NIGHT };
  expect(minutesOn('2025-05-05', '2025-05-06', { weekly })).toBe(6 * 60 + 2 * 60);
  expect(minutesOn('2025-05-05', '2025-05-06', { weekly, closedOn: ['2025-05-05'] })).toBe(6 * 60);
  expect(minutesOn('2025-05-05', '2025-05-06', { weekly, closedOn: ['2025-05-04'] })).toBe(2 * 60);
});

test('windows that touch over midnight are one interval', () => {
  const weekly = { 1: [{ from: '20:00', until: '24:00' }], 2: [{ from: '00:00', until: '04:00' }] };
  expect(openIntervals({ zone: ZONE, weekly }, at('2025-05-05'), at('2025-05-07'))).toEqual([
    at('2025-05-05', '20:00'),
    at('2025-05-06', '04:00'),
  ]);
});

test('an interval that is open at an end of the range is cut there', () => {
  expect(
    openIntervals({ zone: ZONE, weekly: { 7: NIGHT } }, at('2025-05-05'), at('2025-05-05', '01:00')),
  ).toEqual([at('2025-05-05'), at('2025-05-05', '01:00')]);
});

test.each([
  [{ weekly: { 8: DAY } }, 'weekday'],
  [{ weekly: { 1: [{ from: '8:00', until: '12:00' }] } }, 'time of day'],
  [{ weekly: { 1: [{ from: '24:00', until: '12:00' }] } }, 'time of day'],
  [{ weekly: { 1: [{ from: '08:00', until: '08:00' }] } }, 'empty'],
  [{ weekly: {}, holidaysOn: ['2025-02-29'] }, 'calendar date'],
] as [Omit<OpeningPattern, 'zone'>, string][])('%j is refused', (pattern, message) => {
  const open = () => minutesOn('2025-05-05', '2025-05-06', pattern);
  expect(open).toThrow(InputError);
  expect(open).toThrow(message);
});

test('a range that ends before it starts is refused', () => {
  expect(() => openIntervals({ zone: ZONE, weekly: {} }, 1, 0)).toThrow(InputError);
});

test('working days of a pattern that never opens are refused', () => {
  expect(() => addWorkingDays({ zone: ZONE, weekly: {} }, '2025-05-05', 1)).toThrow(InputError);
});
