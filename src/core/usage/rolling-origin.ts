import type { EpochDay } from '../shared/calendar-date';
import type { MeterPoint } from './meter-track';
import { offRoadCalendar } from './off-road';
import { estimateUsage, forecastUsage, type UsageEstimate, type UsageRecord } from './usage-estimate';
import { relativeSd, type UsageForecast } from './usage-forecast';
import type { UsageModel } from './usage-model';

/** What was forecast from the readings up to one of them, and what a later reading then showed. */
export interface ForecastTrial {
  /** Place of the vehicle in the fleet that was handed over. */
  readonly vehicle: number;
  readonly horizonDays: number;
  readonly estimate: UsageEstimate;
  readonly forecast: UsageForecast;
  /** On-road days from the origin to the later reading, which lies near the horizon. */
  readonly elapsedDays: number;
  readonly actualTotal: number;
  /**
   * Error on the scale on which the forecast is normal: with `q` = actual / forecast distance,
   * `sqrt(q) - 1 / sqrt(q)`. Minus infinity when the vehicle did not move.
   */
  readonly error: number;
}

// A reading counts for a horizon when it lies this close to it, as a share of the horizon.
const HORIZON_SLACK = 0.25;
// Fewer readings before the origin would test the stated distance rather than the record.
const FEWEST_READINGS = 6;
const SHORTEST_RECORD_DAYS = 120;

/**
 * Every forecast that could have been made at a reading in the past, beside what came: the origin rolls
 * over the track, only readings and duty changes up to it are used, and a trial never spans a duty change.
 * Needs at least six readings over 120 days before an origin. No tolerance for hindsight: the model is
 * the only thing that may know the future, so hand in one fitted on other vehicles for an honest figure.
 */
export function rollingOrigin(
  fleet: readonly UsageRecord[],
  model: UsageModel,
  horizonsDays: readonly number[],
): ForecastTrial[] {
  const trials: ForecastTrial[] = [];
  fleet.forEach((record, vehicle) => {
    const track = [...record.track].sort((a, b) => a.day - b.day);
    const changes = record.dutyChangeDays ?? [];
    const calendar = offRoadCalendar(record.offRoad ?? []);
    for (let i = FEWEST_READINGS - 1; i < track.length - 1; i++) {
      const origin = track[i] as MeterPoint;
      const nextChange = Math.min(Infinity, ...changes.filter((day) => day > origin.day));
      const later = horizonsDays.map((days) => nearest(track, i, days, nextChange));
      if (!later.some(Boolean)) continue;
      const estimate = estimateUsage(
        { ...record, track: track.slice(0, i + 1), dutyChangeDays: changes.filter((d) => d <= origin.day) },
        model,
      );
      const forecast = forecastUsage(estimate, model);
      const span = origin.day - (estimate.used[0]?.day ?? origin.day);
      if (!forecast || forecast.ratePerDay <= 0) continue;
      if (estimate.used.length < FEWEST_READINGS || span < SHORTEST_RECORD_DAYS) continue;
      horizonsDays.forEach((horizonDays, k) => {
        const actual = later[k];
        const elapsedDays = actual ? calendar.onRoadDay(actual.day) - calendar.onRoadDay(origin.day) : 0;
        if (!actual || elapsedDays <= 0) return;
        const q = Math.max(0, actual.total - origin.total) / (forecast.ratePerDay * elapsedDays);
        const error = Math.sqrt(q) - 1 / Math.sqrt(q);
        trials.push({
          vehicle,
          horizonDays,
          estimate,
          forecast,
          elapsedDays,
          actualTotal: actual.total,
          error,
        });
      });
    }
  });
  return trials;
}

/** Standard deviations by which the forecast missed; within 1.2816 of zero the 80 % interval held. */
export function standardError(trial: ForecastTrial): number {
  return trial.error / relativeSd(trial.forecast.spread, trial.elapsedDays);
}

function nearest(
  track: readonly MeterPoint[],
  originIndex: number,
  horizonDays: number,
  beforeDay: EpochDay,
): MeterPoint | null {
  const target = (track[originIndex] as MeterPoint).day + horizonDays;
  let best: MeterPoint | null = null;
  for (let j = originIndex + 1; j < track.length; j++) {
    const point = track[j] as MeterPoint;
    if (point.day >= beforeDay || point.day > target + horizonDays * HORIZON_SLACK) break;
    if (!best || Math.abs(point.day - target) < Math.abs(best.day - target)) best = point;
  }
  return best && best.day >= target - horizonDays * HORIZON_SLACK ? best : null;
}
