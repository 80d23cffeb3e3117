import { normalQuantile } from '../shared/statistics-normal';
import { fitUsageModel } from './fit-usage-model';
import { rollingOrigin, standardError } from './rolling-origin';
import type { UsageRecord } from './usage-estimate';
import type { MeterUnit } from './usage-forecast';
import { defaultUsageModel, type UsageModel } from './usage-model';

/** Horizons at which coverage is reported, days. */
export const REPORTED_HORIZONS_DAYS: readonly number[] = [30, 90, 180, 365];

/** How often the nominal 80 % interval held what came. */
export interface HorizonCoverage {
  readonly horizonDays: number;
  readonly trials: number;
  /** Shares from 0 to 1; `null` without a trial. */
  readonly held: number | null;
  readonly below: number | null;
  readonly above: number | null;
}

/** Model of a fleet with the coverage measured before and after it was fitted. */
export interface CalibratedUsageModel {
  readonly model: UsageModel;
  /** `other-vehicles`: measured on vehicles that the fit had not seen. */
  readonly measuredOn: 'other-vehicles' | 'the-same-vehicles' | 'nothing';
  /** With the default model. */
  readonly before: readonly HorizonCoverage[];
  /** With the fitted model without and with its widening. */
  readonly fitted: readonly HorizonCoverage[];
  readonly after: readonly HorizonCoverage[];
}

/** Vehicles from which the fleet is halved for an honest measurement. */
export const FEWEST_VEHICLES_TO_HALVE = 10;

/**
 * Coverage of the nominal 80 % interval over a fleet's own past, by rolling origin, per horizon.
 * Trials of one vehicle overlap, so their number overstates what they tell.
 */
export function backTest(
  fleet: readonly UsageRecord[],
  model: UsageModel,
  horizonsDays: readonly number[] = REPORTED_HORIZONS_DAYS,
): HorizonCoverage[] {
  const z = normalQuantile(0.9);
  const trials = rollingOrigin(fleet, model, horizonsDays);
  return horizonsDays.map((horizonDays) => {
    const here = trials.filter((trial) => trial.horizonDays === horizonDays);
    const share = (test: (scaled: number) => boolean): number | null =>
      here.length === 0 ? null : here.filter((trial) => test(standardError(trial))).length / here.length;
    return {
      horizonDays,
      trials: here.length,
      held: share((scaled) => Math.abs(scaled) <= z),
      below: share((scaled) => scaled < -z),
      above: share((scaled) => scaled > z),
    };
  });
}

/**
 * Fits the model of a duty class and reports its coverage honestly. From `FEWEST_VEHICLES_TO_HALVE`
 * vehicles on, a model is fitted and widened on every second vehicle (the 1st, 3rd, ...) and measured on
 * the others; the model that is returned is then fitted on all. With fewer, the measurement is on the
 * vehicles of the fit and says so. The order of the fleet decides the halves: hand it over sorted by id.
 */
export function calibrateUsageModel(fleet: readonly UsageRecord[], unit: MeterUnit): CalibratedUsageModel {
  const halve = fleet.length >= FEWEST_VEHICLES_TO_HALVE;
  const seen = halve ? fleet.filter((_, i) => i % 2 === 0) : fleet;
  const unseen = halve ? fleet.filter((_, i) => i % 2 === 1) : fleet;
  const fitted = fitUsageModel(seen, unit);
  const after = backTest(unseen, fitted);
  return {
    model: halve ? fitUsageModel(fleet, unit) : fitted,
    measuredOn: after.every((row) => row.trials === 0)
      ? 'nothing'
      : halve
        ? 'other-vehicles'
        : 'the-same-vehicles',
    before: backTest(unseen, defaultUsageModel(unit)),
    fitted: backTest(unseen, { ...fitted, widening: [] }),
    after,
  };
}
