import type { EpochDay } from '../shared/calendar-date';
import { fitPrecharge, type PrechargeFit, readingOn } from './fit-precharge';
import { flagObservations, logPressure } from './flag-observations';
import type { PrechargeModel, PrechargeObservation, PrechargeRecord } from './precharge-model';
import { studentHundredths } from './student-quantiles';

/** What was forecast from a unit's observations up to one of them, beside what a later test then read. */
export interface PrechargeTrial {
  readonly unitId: string;
  readonly originDay: EpochDay;
  readonly day: EpochDay;
  /** Distance of the reading from the middle of the 80 % interval, in half-widths of it: held up to 1. */
  readonly reach: number;
}

/**
 * Every forecast that could have been made at an observation in the past, beside every later test of the same
 * charge. The origin rolls over the record; what comes after it is unknown to the forecast, the flags included.
 * Tests that the whole record leaves out are not forecast. The trials of one unit overlap, so their number overstates
 * what they tell. Hand in a model that was learned from other units, or from before, for an honest figure.
 */
export function backTestPrecharge(
  records: readonly PrechargeRecord[],
  model: PrechargeModel,
): PrechargeTrial[] {
  const trials: PrechargeTrial[] = [];
  for (const { unitId, observations } of records) {
    const { charges } = flagObservations(observations, model);
    const past: PrechargeObservation[] = [];
    const inOrder = [...observations].sort((a, b) => a.day - b.day);
    let next = 0;
    for (const charge of charges) {
      charge.forEach((origin, i) => {
        while (next < inOrder.length && !past.includes(origin))
          past.push(inOrder[next++] as PrechargeObservation);
        const fit = i + 1 < charge.length ? fitPrecharge(past, model) : null;
        if (!fit) return;
        for (const test of charge.slice(i + 1)) {
          trials.push({ unitId, originDay: origin.day, day: test.day, reach: reachOf(fit, test) });
        }
      });
    }
  }
  return trials;
}

/** Share of the trials that the 80 % interval held; null without a trial. */
export function coverageOf(trials: readonly PrechargeTrial[], widening = 1): number | null {
  if (trials.length === 0) return null;
  return trials.filter(({ reach }) => reach <= widening).length / trials.length;
}

function reachOf(fit: PrechargeFit, test: PrechargeObservation): number {
  const { log, scale, degreesOfFreedom } = readingOn(fit, test.day);
  const half = (studentHundredths(degreesOfFreedom)[89] as number) * scale;
  return Math.abs(logPressure(test.precharge20BarGauge) - log) / half;
}
