import { cautionsFor, STANDING_CAUTIONS } from '../../src/core/hydraulics/cautions';
import { deriveFromLayout } from '../../src/core/hydraulics/derive-from-layout';
import { HydraulicLayout, UNVERIFIED_LAYOUT } from '../../src/core/hydraulics/hydraulic-layout';

// Facts of the trade that a hydraulic layout decides. Source of all of them: common practice, no published
// source. The numbers are those of the project's own list of facts.

const derive = (recorded: Partial<HydraulicLayout>) =>
  deriveFromLayout({ ...UNVERIFIED_LAYOUT, ...recorded });
const testOf = (recorded: Partial<HydraulicLayout>, code: string) =>
  derive(recorded).tests.find((each) => each.test === code)?.applicability;
const textOf = (code: string) => STANDING_CAUTIONS.find((each) => each.code === code)?.text;

test('4. rear brakes are fed from the rear suspension', () => {
  expect(derive({ antiSinkValves: 'not-fitted', rearBrakeAccumulator: 'not-fitted' }).rearBrakeFeed).toBe(
    'rear-suspension',
  );
});

test('2, 5. without stored pressure there is no braking effort; the low-pressure warning means stop', () => {
  expect(textOf('no-pressure-no-brakes')).toMatch(
    /without stored pressure the pedal does nothing.*means stop/s,
  );
  expect(testOf({}, 'low-pressure-warning')).toBe('applies');
  expect(testOf({}, 'brake-reserve')).toBe('applies');
});

test('6. a split pump means its own steering section, anti-sink valves and a rear brake accumulator', () => {
  expect(derive({ pumpKind: 'split' }).follows.map((each) => [each.fact, each.value])).toEqual([
    ['steeringSupply', 'own-section'],
    ['antiSinkValves', 'fitted'],
    ['rearBrakeAccumulator', 'fitted'],
  ]);
});

test('6. the converse is not known', () => {
  const { effective, follows } = derive({
    antiSinkValves: 'fitted',
    rearBrakeAccumulator: 'fitted',
    steeringSupply: 'own-section',
  });
  expect(follows).toEqual([]);
  expect(effective.basis.pumpKind).toBe('unknown');
});

test('6. a single-outlet pump: steering is not fed by a section of its own', () => {
  const { excluded } = derive({ pumpKind: 'single-outlet' });
  expect(excluded.map((each) => [each.fact, each.value])).toEqual([['steeringSupply', 'own-section']]);
  expect(excluded[0]?.because).toContain('the steering draws on the pressure supply');
  expect(
    derive({ pumpKind: 'single-outlet', steeringSupply: 'own-section' }).contradictions.map(
      (each) => each.fields,
    ),
  ).toEqual([['pumpKind', 'steeringSupply']]);
});

test('6. a single-outlet pump says nothing certain of anti-sink valves until somebody has looked', () => {
  const { effective, inspections, tests } = derive({ pumpKind: 'single-outlet' });
  expect(effective.layout.antiSinkValves).toBe('unverified');
  expect(tests.find((each) => each.test === 'anti-sink-hold')?.applicability).toBe('unknown');
  expect(inspections.map((each) => each.fact)).toContain('antiSinkValves');
  for (const antiSinkValves of ['fitted', 'not-fitted'] as const)
    expect(derive({ pumpKind: 'single-outlet', antiSinkValves }).contradictions).toEqual([]);
});

test('7. anti-sink valves fitted and rear brake accumulator missing or failed is safety-critical', () => {
  const missing = derive({ antiSinkValves: 'fitted', rearBrakeAccumulator: 'not-fitted' });
  expect(missing.safetyFindings.map((each) => each.status)).toEqual(['stands']);
  expect(missing.rearBrakeFeed).toBe('nothing');
  const failed = deriveFromLayout(
    { ...UNVERIFIED_LAYOUT, antiSinkValves: 'fitted', rearBrakeAccumulator: 'fitted' },
    { rearBrakeAccumulatorTest: 'failed' },
  );
  expect(failed.safetyFindings.map((each) => each.status)).toEqual(['stands']);
});

test('8. settling overnight is normal without anti-sink valves and a fault with them', () => {
  expect(derive({ antiSinkValves: 'not-fitted' }).overnightSettling).toBe('normal');
  expect(derive({ antiSinkValves: 'fitted' }).overnightSettling).toBe('fault');
  expect(derive({ pumpKind: 'split' }).overnightSettling).toBe('fault');
  expect(derive({ pumpKind: 'single-outlet' }).overnightSettling).toBe('unknown');
});

test("9. for an adjustable regulator and for other steering the maker's workshop manual rules", () => {
  for (const recorded of [
    { steeringRegulator: 'remote-adjustable' },
    { steeringRegulator: 'other' },
    { steeringSupply: 'other' },
  ] as const)
    expect(
      derive(recorded)
        .manualNotes.map((each) => each.text)
        .join(),
    ).toContain("maker's workshop manual rules");
  expect(testOf({ steeringRegulator: 'remote-adjustable' }, 'steering-regulator-pressure')).toBe('applies');
  expect(testOf({ steeringRegulator: 'integral' }, 'steering-regulator-pressure')).toBe('does-not-apply');
});

test('12. the parking brake acts on the front wheels', () => {
  expect(textOf('parking-brake-acts-on-front-wheels')).toContain('front wheels');
});

test('the cautions that a workshop must be shown are all there', () => {
  expect(textOf('fluid-injection')).toMatch(/surgical emergency: go to hospital at once/);
  expect(textOf('release-pressure-first')).toMatch(/before you open any pipe or unscrew any gas unit/);
  expect(textOf('vehicle-drops-without-warning')).toMatch(/drops without warning/);
  expect(textOf('nitrogen-only')).toMatch(/dry nitrogen only, never with oxygen or air/);
  expect(textOf('pressure-vessel-law')).toMatch(/pressure-equipment law, and the competence/);
  // ISO 9128:1987 abstract: petroleum-base and glycol fluids are totally incompatible
  expect(textOf('never-mix-fluids')).toMatch(/destroys its seals, those of the brakes included/);
  expect(textOf('check-warning-and-reserve-before-release')).toMatch(
    /low-pressure warning and the brake reserve/,
  );
  expect(textOf('advice-not-a-certificate')).toMatch(/never a certificate/);
  // every layout shows all of them
  expect(cautionsFor(UNVERIFIED_LAYOUT)).toEqual(expect.arrayContaining([...STANDING_CAUTIONS]));
});

test('gas units sit at the four wheels, in the pressure supply, and at the rear brakes where fitted', () => {
  expect(derive({ pumpKind: 'split' }).positions).toEqual(
    [
      'suspension-front-left',
      'suspension-front-right',
      'suspension-rear-left',
      'suspension-rear-right',
      'main-accumulator',
      'rear-brake-accumulator',
    ].map((position) => ({ position, unit: 'expected' })),
  );
  expect(derive({}).positions.at(-1)).toEqual({ position: 'rear-brake-accumulator', unit: 'unknown' });
  expect(derive({ rearBrakeAccumulator: 'not-fitted' }).positions.at(-1)?.unit).toBe('not-expected');
});
