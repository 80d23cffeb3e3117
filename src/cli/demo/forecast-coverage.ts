import { type CalendarDate, addDays, toEpochDay } from '../../core/shared/calendar-date';
import type { PrechargeForecastDto } from '../../modules/gas-unit-events/dto/precharge-forecast.dto';
import type { GasUnitTruth } from './tarn-valley/gas-unit-fleet';

export type ToldForecast = Pick<
  PrechargeForecastDto,
  'observations' | 'earliestOn' | 'latestOn' | 'horizonOn' | 'band'
>;

/** How often what came lay within the 80 % interval, and on which side it lay where it did not. */
export interface Coverage {
  checked: number;
  held: number;
  /** The unit lost more gas, or crossed the limit sooner, than the interval allows for. */
  worse: number;
  better: number;
}

export interface ForecastCoverage {
  crossing: Coverage;
  /** Units of which nothing was said because the limit lies beyond the horizon, and those where that is true. */
  beyondHorizon: { told: number; right: number };
  /** By days after the day of the forecast. */
  precharge: { daysAhead: number; coverage: Coverage }[];
}

const DAYS_AHEAD = [182, 365];

/**
 * Compares forecasts with what then happens if nobody touches the units. The forecast speaks of days after the
 * last test that it uses: a unit that was below the limit before counts as crossing on that day.
 */
export function forecastCoverage(
  units: readonly { forecast: ToldForecast; truth: GasUnitTruth }[],
  todayOn: CalendarDate,
): ForecastCoverage {
  const crossing: Coverage = { checked: 0, held: 0, worse: 0, better: 0 };
  const beyondHorizon = { told: 0, right: 0 };
  const precharge = DAYS_AHEAD.map((daysAhead) => ({
    daysAhead,
    coverage: { checked: 0, held: 0, worse: 0, better: 0 },
  }));
  for (const { forecast, truth } of units) {
    const knownUntilOn = forecast.observations.findLast(({ used }) => used)?.doneOn;
    if (knownUntilOn === undefined) continue;
    const below = truth.below80On ?? Infinity;
    if (forecast.earliestOn === null) {
      beyondHorizon.told += 1;
      if (forecast.horizonOn !== null && isAfter(below, forecast.horizonOn)) beyondHorizon.right += 1;
    } else {
      const crossedOn = isAfter(below, knownUntilOn) ? below : knownUntilOn;
      count(crossing, {
        isWorse: !isAfter(crossedOn, addDays(forecast.earliestOn, -1)),
        isBetter: forecast.latestOn !== null && isAfter(crossedOn, forecast.latestOn),
      });
    }
    for (const { daysAhead, coverage } of precharge) {
      const on = addDays(todayOn, daysAhead);
      const band = bandOn(forecast.band, on);
      if (band === null) continue;
      const true20BarGauge = truth.precharge20BarGaugeOn(on);
      count(coverage, {
        isWorse: true20BarGauge < band.low20BarGauge,
        isBetter: true20BarGauge > band.high20BarGauge,
      });
    }
  }
  return { crossing, beyondHorizon, precharge };
}

// no day at all is after every day
function isAfter(day: CalendarDate | number, other: CalendarDate): boolean {
  return typeof day === 'number' || day > other;
}

function count(coverage: Coverage, { isWorse, isBetter }: { isWorse: boolean; isBetter: boolean }): void {
  coverage.checked += 1;
  if (isWorse) coverage.worse += 1;
  else if (isBetter) coverage.better += 1;
  else coverage.held += 1;
}

/** The band on a day between two of its points; null outside it. */
function bandOn(
  band: ToldForecast['band'],
  on: CalendarDate,
): { low20BarGauge: number; high20BarGauge: number } | null {
  const next = band.find((point) => point.on >= on);
  const before = band.findLast((point) => point.on <= on);
  if (next === undefined || before === undefined) return null;
  const days = toEpochDay(next.on) - toEpochDay(before.on);
  const share = days === 0 ? 0 : (toEpochDay(on) - toEpochDay(before.on)) / days;
  const between = (from: number, to: number): number => from + share * (to - from);
  return {
    low20BarGauge: between(before.low20BarGauge, next.low20BarGauge),
    high20BarGauge: between(before.high20BarGauge, next.high20BarGauge),
  };
}
