import type { HydraulicLayout } from '../../../src/core/hydraulics/hydraulic-layout';
import { fitsLayout, isSystemTest } from '../../../src/core/job-sheet/fits-layout';
import { ALL_LAYOUTS } from '../hydraulics/all-layouts';
import { KNOWN, sheetOf, workOn } from './made-sheets';

const FITS = { leftOutBecause: null, condition: null };
const at = (position: string | null, task = 'precharge-test') => ({ task, position });

// which test goes with which part: common practice, no published source
describe('work at the rear brake accumulator', () => {
  test.each<[HydraulicLayout['rearBrakeAccumulator'], boolean, ReturnType<typeof fitsLayout>]>([
    ['fitted', true, FITS],
    ['fitted', false, FITS],
    [
      'not-fitted',
      false,
      {
        leftOutBecause: 'Does not apply: not fitted on this vehicle: rear brake accumulator.',
        condition: null,
      },
    ],
    [
      'not-fitted',
      true,
      {
        leftOutBecause: null,
        condition:
          'The layout contradicts the unit that is recorded here: not fitted on this vehicle: rear brake accumulator. Look first, and correct the record.',
      },
    ],
    [
      'unverified',
      false,
      {
        leftOutBecause: null,
        condition:
          'Only if it applies: nobody has established whether fitted: rear brake accumulator. Look first.',
      },
    ],
    ['unverified', true, FITS],
  ])('%s, a unit recorded: %s', (rearBrakeAccumulator, hasUnit, expected) => {
    const layout = { ...KNOWN, rearBrakeAccumulator };
    for (const task of ['precharge-test', 'recharge'])
      expect(fitsLayout(at('rear-brake-accumulator', task), layout, hasUnit)).toEqual(expected);
  });

  test('asks for no checks before release where it is left out', () => {
    const work = workOn('precharge-test', { position: 'rear-brake-accumulator' });
    expect(sheetOf([work], KNOWN, false, []).leftOut).toHaveLength(1);
    expect(sheetOf([work], KNOWN, false, []).steps.map(({ key }) => key)).toEqual(['odometer-reading']);
    expect(sheetOf([work]).steps.some(({ beforeRelease }) => beforeRelease)).toBe(true);
  });
});

test('units elsewhere, work at a position of the operator, and tasks of its own fit any layout', () => {
  for (const layout of ALL_LAYOUTS) {
    for (const work of [at('main-accumulator'), at('suspension-rear-left'), at('loading-ramp'), at(null)])
      expect(fitsLayout(work, layout, false)).toEqual(FITS);
    for (const task of ['fluid-change', 'seat-rail', null])
      expect(fitsLayout({ task, position: null }, layout, false)).toEqual(FITS);
  }
});

test('a task of a name that every object knows is a task like others', () => {
  expect(isSystemTest('constructor')).toBe(false);
  expect(isSystemTest('brake-reserve-test')).toBe(true);
});
