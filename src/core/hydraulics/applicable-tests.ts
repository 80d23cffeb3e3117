import { HydraulicLayout } from './hydraulic-layout';

/** Tests of a hydraulic system; codes are stable. */
export const HYDRAULIC_TESTS = [
  'suspension-unit-precharge',
  'main-accumulator-precharge',
  'rear-brake-accumulator-precharge',
  'regulator-cut-in-and-cut-out',
  'main-accumulator-stopwatch',
  'low-pressure-warning',
  'brake-reserve',
  'anti-sink-hold',
  'steering-regulator-pressure',
] as const;

export type HydraulicTest = (typeof HYDRAULIC_TESTS)[number];

/** Three-valued: `unknown` is an answer and means that somebody has to look first. */
export type Applicability = 'applies' | 'does-not-apply' | 'unknown';

export interface TestApplicability {
  test: HydraulicTest;
  applicability: Applicability;
  because: string;
}

/**
 * Which tests apply to a vehicle, each with the reason. Source: common practice, no published source.
 *
 * @param layout the effective layout (`effectiveLayout`)
 */
export function applicableTests(layout: HydraulicLayout): TestApplicability[] {
  return HYDRAULIC_TESTS.map((test) => ({ test, ...applicabilityOf(test, layout) }));
}

function applicabilityOf(test: HydraulicTest, layout: HydraulicLayout): Omit<TestApplicability, 'test'> {
  switch (test) {
    case 'rear-brake-accumulator-precharge':
      return whereFitted('rear brake accumulator', layout.rearBrakeAccumulator);
    case 'anti-sink-hold':
      return whereFitted('anti-sink valves', layout.antiSinkValves);
    case 'steering-regulator-pressure':
      return steeringRegulatorTest(layout);
    case 'suspension-unit-precharge':
      return { applicability: 'applies', because: 'every suspension unit is a gas unit' };
    case 'main-accumulator-precharge':
    case 'regulator-cut-in-and-cut-out':
    case 'main-accumulator-stopwatch':
      return {
        applicability: 'applies',
        because: 'every pressure supply has a pressure regulator and a main accumulator',
      };
    case 'low-pressure-warning':
      return {
        applicability: 'applies',
        because: 'every safety valve carries the low-pressure warning switch',
      };
    case 'brake-reserve':
      return {
        applicability: 'applies',
        because: 'the brakes are power brakes: without stored pressure there is no braking effort',
      };
  }
}

function whereFitted(
  part: string,
  answer: HydraulicLayout['antiSinkValves'],
): Omit<TestApplicability, 'test'> {
  switch (answer) {
    case 'fitted':
      return { applicability: 'applies', because: `fitted on this vehicle: ${part}` };
    case 'not-fitted':
      return { applicability: 'does-not-apply', because: `not fitted on this vehicle: ${part}` };
    case 'unverified':
      return { applicability: 'unknown', because: `nobody has established whether fitted: ${part}` };
  }
}

function steeringRegulatorTest(layout: HydraulicLayout): Omit<TestApplicability, 'test'> {
  switch (layout.steeringRegulator) {
    case 'remote-adjustable':
      return {
        applicability: 'applies',
        because: "the steering regulator is adjustable; the figures are in the maker's workshop manual",
      };
    case 'integral':
      return { applicability: 'does-not-apply', because: 'the steering regulator cannot be adjusted' };
    case 'other':
      return {
        applicability: 'unknown',
        because: "the steering is of a different kind: the maker's workshop manual rules",
      };
    case 'unverified':
      return { applicability: 'unknown', because: 'nobody has established the kind of steering regulator' };
  }
}
