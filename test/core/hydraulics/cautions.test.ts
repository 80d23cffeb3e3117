import {
  CAUTION_CONTEXTS,
  cautionsFor,
  cautionsInContext,
  cautionsInContexts,
  STANDING_CAUTIONS,
} from '../../../src/core/hydraulics/cautions';
import { UNVERIFIED_LAYOUT } from '../../../src/core/hydraulics/hydraulic-layout';

const codes = (cautions: { code: string }[]) => cautions.map((each) => each.code);

test('codes are unique and every context has a caution that is not only the general advice', () => {
  expect(new Set(codes(cautionsFor(UNVERIFIED_LAYOUT))).size).toBe(cautionsFor(UNVERIFIED_LAYOUT).length);
  for (const context of CAUTION_CONTEXTS.filter((each) => each !== 'computed-figure'))
    expect(cautionsInContext(STANDING_CAUTIONS, context).length).toBeGreaterThan(1);
  expect(codes(cautionsInContext(STANDING_CAUTIONS, 'computed-figure'))).toEqual([
    'advice-not-a-certificate',
  ]);
});

test('what hurts is shown where the work can hurt', () => {
  const shown = (context: (typeof CAUTION_CONTEXTS)[number]) =>
    codes(cautionsInContext(cautionsFor(UNVERIFIED_LAYOUT), context));
  expect(shown('unit-charging')).toEqual([
    'fluid-injection',
    'nitrogen-only',
    'pressure-vessel-law',
    'advice-not-a-certificate',
  ]);
  expect(shown('open-circuit')).toEqual([
    'fluid-injection',
    'release-pressure-first',
    'vehicle-drops-without-warning',
    'parking-brake-acts-on-front-wheels',
    'never-mix-fluids',
    'advice-not-a-certificate',
    'anti-sink-valves-may-hold-pressure',
    'fluid-not-verified',
  ]);
  expect(shown('brakes-supply-or-anti-sink')).toContain('check-warning-and-reserve-before-release');
});

test.each([
  [null, 'fluid-not-verified'],
  ['mineral', 'mineral-fluid-only'],
  ['glycol', 'glycol-fluid-only'],
  ['other', 'recorded-fluid-only'],
  ['own-code-7', 'recorded-fluid-only'],
])('fluid %s', (fluid, code) => {
  const fluidCodes = codes(cautionsFor({ ...UNVERIFIED_LAYOUT, fluid })).filter((each) =>
    /fluid-(only|not)/.test(each),
  );
  expect(fluidCodes).toEqual([code]);
});

test.each([
  ['fitted', ['anti-sink-valves-hold-pressure']],
  ['not-fitted', []],
  ['unverified', ['anti-sink-valves-may-hold-pressure']],
] as const)('anti-sink valves %s', (antiSinkValves, expected) => {
  const about = codes(cautionsFor({ ...UNVERIFIED_LAYOUT, antiSinkValves })).filter((each) =>
    each.startsWith('anti-sink'),
  );
  expect(about).toEqual(expected);
});

test('of several kinds of work each caution is told once, in their order', () => {
  const told = cautionsInContexts(STANDING_CAUTIONS, ['unit-charging', 'unit-removal', 'unit-charging']);
  const charging = cautionsInContext(STANDING_CAUTIONS, 'unit-charging');
  const removal = cautionsInContext(STANDING_CAUTIONS, 'unit-removal');
  expect(told).toEqual([...charging, ...removal.filter((caution) => !charging.includes(caution))]);
});
