import { ProblemError, type Problem } from '../../../src/desk/api/problem';
import { shownPressure, typedPressure } from '../../../src/desk/pages/administration/gas/pressures';
import { faultFinder } from '../../../src/desk/pages/administration/parts/faults';
import { instantOf, localMoment } from '../../../src/desk/format/days';
import { typedWords } from '../../../src/desk/pages/administration/parts/typed';

it('turns day and time at a place into an instant and back', () => {
  expect(instantOf('2026-07-01T08:30', 'Europe/London')).toBe('2026-07-01T07:30:00Z');
  expect(localMoment('2026-12-01T08:30:00Z', 'Europe/London')).toBe('2026-12-01T08:30');
  expect(localMoment(null, 'Europe/London')).toBe('');
  expect(instantOf('', 'Europe/London')).toBe('');
});

it('reads words however they are separated', () => {
  expect(typedWords(' lift, flat;pit\nramp ')).toEqual(['lift', 'flat', 'pit', 'ramp']);
  expect(typedWords('')).toEqual([]);
});

// 1 psi = 0.0689475729 bar: NIST SP 811, appendix B.8
it('leaves a pressure exactly as it was where nobody touched it, and converts what was typed', () => {
  const shown = shownPressure(62, 'psi');
  expect(Number(shown)).toBeCloseTo(899.234, 3);
  expect(typedPressure(shown, 'psi', 'en-GB', 62)).toBe(62);
  expect(typedPressure('900', 'psi', 'en-GB', 62)).toBeCloseTo(62.0528, 4);
  expect(typedPressure('', 'psi', 'en-GB', 62)).toBeNull();
});

const problem = {
  errors: [
    { pointer: '#/rules/3/tolerance/earlyDays', detail: 'must not be negative', remedy: 'give 0 or more.' },
    { parameter: 'actor', detail: 'is too long', remedy: '' },
  ],
} as Partial<Problem> as Problem;

it('finds what is wrong at, and below, a field', () => {
  const faultAt = faultFinder(new ProblemError(422, problem), 'rules/3/');
  expect(faultAt('tolerance/earlyDays')).toBe('Must not be negative. Give 0 or more.');
  expect(faultAt('tolerance')).toBe('Must not be negative. Give 0 or more.');
  expect(faultAt('toler')).toBeNull();
  expect(faultFinder(new ProblemError(422, problem))('actor')).toBe('Is too long.');
  expect(faultFinder(null)('actor')).toBeNull();
});
