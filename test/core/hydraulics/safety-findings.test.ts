import { UNVERIFIED_LAYOUT } from '../../../src/core/hydraulics/hydraulic-layout';
import { safetyFindings } from '../../../src/core/hydraulics/safety-findings';

const valves = { ...UNVERIFIED_LAYOUT, antiSinkValves: 'fitted' } as const;
const split = { ...UNVERIFIED_LAYOUT, pumpKind: 'split' } as const;

test.each([
  ['valves fitted, accumulator missing', { ...valves, rearBrakeAccumulator: 'not-fitted' }, 'none', 'stands'],
  ['valves fitted, accumulator failed', { ...valves, rearBrakeAccumulator: 'fitted' }, 'failed', 'stands'],
  ['valves fitted, accumulator failed but not recorded', valves, 'failed', 'stands'],
  ['valves follow from the pump, accumulator failed', split, 'failed', 'stands'],
  ['valves follow from the pump, accumulator passed', split, 'passed', undefined],
  ['valves fitted, accumulator unknown', valves, 'none', 'possible'],
  [
    'accumulator missing, valves unknown',
    { ...UNVERIFIED_LAYOUT, rearBrakeAccumulator: 'not-fitted' },
    'none',
    'possible',
  ],
  [
    'accumulator failed, valves unknown',
    { ...UNVERIFIED_LAYOUT, rearBrakeAccumulator: 'fitted' },
    'failed',
    'possible',
  ],
  ['nothing known', UNVERIFIED_LAYOUT, 'none', 'possible'],
  ['no valves', { ...UNVERIFIED_LAYOUT, antiSinkValves: 'not-fitted' }, 'failed', undefined],
  ['accumulator in place, never tested', { ...valves, rearBrakeAccumulator: 'fitted' }, 'none', undefined],
  // the record contradicts itself: the dangerous reading counts
  [
    'split pump, accumulator recorded as missing',
    { ...split, rearBrakeAccumulator: 'not-fitted' },
    'none',
    'stands',
  ],
  ['split pump, valves recorded as missing', { ...split, antiSinkValves: 'not-fitted' }, 'failed', 'stands'],
  [
    'split pump, valves recorded as missing, accumulator unknown',
    { ...split, antiSinkValves: 'not-fitted' },
    'none',
    'possible',
  ],
] as const)('%s', (_, layout, latestTest, status) => {
  expect(safetyFindings(layout, latestTest)[0]?.status).toBe(status);
});

test('a possible finding names what is open', () => {
  const because = (layout: typeof UNVERIFIED_LAYOUT) => safetyFindings(layout)[0]!.because;
  expect(because(UNVERIFIED_LAYOUT)).toBe(
    'nobody has established whether anti-sink valves are fitted and whether a rear brake accumulator is fitted',
  );
  expect(because(valves)).toBe('nobody has established whether a rear brake accumulator is fitted');
});
