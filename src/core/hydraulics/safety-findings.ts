import { HydraulicLayout } from './hydraulic-layout';
import { effectiveLayout } from './layout-conclusions';

/** Result of the latest test of the rear brake accumulator; `none` where no test is on record. */
export type RearBrakeAccumulatorTest = 'passed' | 'failed' | 'none';

/** A finding about the layout that bears on the brakes. */
export interface SafetyFinding {
  code: 'no-rear-brake-reserve-behind-anti-sink-valves';
  /** `stands`: do not release the vehicle. `possible`: nothing known excludes it, so look first. */
  status: 'stands' | 'possible';
  because: string;
  remedy: string;
}

/**
 * Safety-critical findings of a layout: anti-sink valves fitted and the rear brake accumulator missing or
 * failed. With the safety valve closed the anti-sink valves keep the rear suspension from feeding the rear
 * brakes; the accumulator is what does. Source: common practice, no published source.
 *
 * Where records contradict each other the dangerous reading counts. A missing test is not a finding; it is
 * owed work.
 *
 * @param layout the layout as recorded
 */
export function safetyFindings(
  layout: HydraulicLayout,
  rearBrakeAccumulatorTest: RearBrakeAccumulatorTest = 'none',
): SafetyFinding[] {
  const code = 'no-rear-brake-reserve-behind-anti-sink-valves';
  const failed = rearBrakeAccumulatorTest === 'failed';
  const missing = layout.rearBrakeAccumulator === 'not-fitted';
  // a split pump implies the valves even where the record is in dispute
  const valvesFitted = layout.antiSinkValves === 'fitted' || layout.pumpKind === 'split';
  if (valvesFitted && (failed || missing)) {
    return [
      {
        code,
        status: 'stands',
        because:
          `${antiSinkWords(layout)} and the rear brake accumulator ` +
          `${missing ? 'is recorded as not fitted' : 'has failed its test'}: with the safety valve closed ` +
          'nothing feeds the rear brakes',
        remedy:
          'do not release the vehicle; fit a sound rear brake accumulator, then check the low-pressure warning ' +
          'and the brake reserve',
      },
    ];
  }
  const effective = effectiveLayout(layout).layout;
  const valvesExcluded = effective.antiSinkValves === 'not-fitted';
  const accumulatorInPlace = effective.rearBrakeAccumulator === 'fitted' && !failed;
  if (valvesExcluded || accumulatorInPlace) return [];
  const open = [
    ...(valvesFitted ? [] : ['whether anti-sink valves are fitted']),
    ...(failed || missing ? [] : ['whether a rear brake accumulator is fitted']),
  ];
  return [
    {
      code,
      status: 'possible',
      because: `nobody has established ${open.join(' and ')}`,
      remedy:
        'look at the anti-sink valves and at the rear brake circuit before the next work on the vehicle',
    },
  ];
}

function antiSinkWords(layout: HydraulicLayout): string {
  return layout.antiSinkValves === 'fitted'
    ? 'anti-sink valves are fitted'
    : 'the split pump means that anti-sink valves are fitted';
}
