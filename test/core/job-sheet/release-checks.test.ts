import fc from 'fast-check';
import { RELEASE_CHECKS } from '../../../src/core/job-sheet/job-sheet-of';
import { ALL_LAYOUTS } from '../hydraulics/all-layouts';
import { anyWork, KNOWN, sheetOf, workOn } from './made-sheets';

const keysOf = (sheet: ReturnType<typeof sheetOf>) => sheet.steps.map(({ key }) => key);
const afterWork = (sheet: ReturnType<typeof sheetOf>) =>
  sheet.steps.filter(({ beforeRelease }) => beforeRelease).map(({ key }) => key);

// what opens the circuit, or works on what feeds the brakes: common practice, no published source
describe('the checks before release', () => {
  test.each([
    ['work that asks for hydraulics', workOn('fluid-change', { competences: ['hydraulics'] })],
    ['a charge', workOn('recharge', { position: 'suspension-front-left' })],
    ['the main accumulator', workOn('precharge-test', { position: 'main-accumulator' })],
  ])('follow %s', (_, work) => {
    expect(afterWork(sheetOf([work]))).toEqual([...RELEASE_CHECKS]);
    expect(keysOf(sheetOf([work])).slice(-2)).toEqual([...RELEASE_CHECKS]);
  });

  test.each([
    ['nothing but looking', workOn(null)],
    [
      'a unit of the suspension that is only tested',
      workOn('precharge-test', { position: 'suspension-rear-left' }),
    ],
    ['a test of the system as it stands', workOn('regulator-cycle-test', { competences: ['hydraulics'] })],
    ['work on something else', workOn('seat-rail', { competences: ['upholstery'] })],
  ])('do not follow %s', (_, work) => {
    expect(afterWork(sheetOf([work]))).toEqual([]);
  });

  it('follow the exchange of any unit', () => {
    const work = workOn('precharge-test', { position: 'suspension-rear-left' });
    expect(afterWork(sheetOf([work], KNOWN, true))).toEqual([...RELEASE_CHECKS]);
    expect(sheetOf([work], KNOWN, true).cautions.map(({ code }) => code)).toContain(
      'check-warning-and-reserve-before-release',
    );
  });

  it('are the booked ones where they were booked, made after the work and needed for release', () => {
    const sheet = sheetOf([
      workOn('brake-reserve-test'),
      workOn('low-pressure-warning-test', { safetyCritical: true }),
      workOn('fluid-change', { competences: ['hydraulics'] }),
    ]);
    expect(keysOf(sheet)).toEqual([
      'odometer-reading',
      'fluid-change',
      'low-pressure-warning-test',
      'brake-reserve-test',
    ]);
    expect(sheet.steps.slice(2)).toMatchObject([
      { why: 'due', safetyCritical: true, beforeRelease: true },
      { why: 'due', safetyCritical: true, beforeRelease: true },
    ]);
  });
});

const anyLayout = fc.constantFrom(...ALL_LAYOUTS);

describe('for any work on any layout', () => {
  it('booked work is a step or left out, never both and never lost', () => {
    fc.assert(
      fc.property(anyWork, anyLayout, (work, layout) => {
        const { steps, leftOut } = sheetOf(work, layout);
        const booked = steps.filter(({ why }) => why === 'due' || why === 'extra-work');
        expect(booked.length + leftOut.length).toBe(work.length);
      }),
    );
  });

  it('nothing is done after the checks before release, and both are there or neither', () => {
    fc.assert(
      fc.property(anyWork, anyLayout, (work, layout) => {
        const { steps } = sheetOf(work, layout);
        const first = steps.findIndex(({ beforeRelease }) => beforeRelease);
        const checks = first < 0 ? [] : steps.slice(first);
        expect(checks.every(({ beforeRelease }) => beforeRelease)).toBe(true);
        const tasks = new Set(checks.map(({ task }) => task));
        expect([...tasks].sort()).toEqual(first < 0 ? [] : [...RELEASE_CHECKS].sort());
      }),
    );
  });
});
