import { CalendarDate } from '../shared/calendar-date';
import { HydraulicLayout } from './hydraulic-layout';
import { SafetyFinding, safetyFindings } from './safety-findings';
import { effectiveLayout } from './layout-conclusions';
import { expectedUnitPositions } from './unit-positions';

/** A position whose gas unit was taken out, and into which none has been put since. */
export interface EmptiedPosition {
  position: string;
  since: CalendarDate;
}

/** A safety-critical finding that a vehicle's record of units gives rise to. */
export interface MissingUnitFinding extends Pick<SafetyFinding, 'because' | 'remedy'> {
  /** Stable: one for each position, the finding about the rear brakes as `safetyFindings` names it. */
  code: string;
  since: CalendarDate;
}

/**
 * What follows from gas units that were taken out and not replaced: the vehicle is not to be released. A missing
 * rear brake accumulator behind anti-sink valves leaves the rear brakes without any feed; a missing unit elsewhere
 * leaves the circuit open or without stored pressure. A position at which the layout has no unit gives no finding.
 * A position of which no unit was ever on record gives none either: that is a gap in the record, not on the vehicle.
 * Source: common practice, no published source.
 *
 * @param layout the layout as recorded
 */
export function missingUnitFindings(
  layout: HydraulicLayout,
  emptied: readonly EmptiedPosition[],
): MissingUnitFinding[] {
  const expected = expectedUnitPositions(effectiveLayout(layout).layout);
  return emptied.flatMap(({ position, since }) => {
    if (expected.some((each) => each.position === position && each.unit === 'not-expected')) return [];
    const takenOut = `the gas unit at ${position} was taken out on ${since} and none has been fitted since`;
    if (position === 'rear-brake-accumulator') {
      const [behindValves] = safetyFindings({ ...layout, rearBrakeAccumulator: 'not-fitted' });
      if (behindValves?.status === 'stands') {
        const { code, remedy } = behindValves;
        const because = `${takenOut}; anti-sink valves are fitted: with the safety valve closed nothing feeds the rear brakes`;
        return [{ code, since, because, remedy }];
      }
    }
    return [
      {
        code: `unit-missing-at-${position}`,
        since,
        because: takenOut,
        remedy: 'do not release the vehicle; fit a sound gas unit, or record the one that is fitted',
      },
    ];
  });
}
