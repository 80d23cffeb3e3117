import { fromEpochDay, localDateAt, toEpochDay, type CalendarDate } from '../../core/shared/calendar-date';
import { estimateOn, probabilityBelow } from '../../core/precharge/fit-precharge';
import {
  forecastPrecharge,
  PRECHARGE_HORIZON_DAYS,
  type PrechargeOutlook,
} from '../../core/precharge/forecast-precharge';
import { outlookBand } from '../../core/precharge/outlook-band';
import type { PrechargeModel, PrechargeObservation } from '../../core/precharge/precharge-model';
import type { GasUnitEvent } from './gas-unit-event.entity';
import { roundedBar, roundedTo } from './rounded';

/** Days after today for which the probability is told. */
const DAYS_AHEAD = [0, 90, 180, 365] as const;

const BAND_POINTS = 80;
/** The band goes on for so long after the last day of the window, and at least so long after today. */
const BAND_AFTER_WINDOW_DAYS = 90;
const BAND_AFTER_TODAY_DAYS = 365;

/** Events as observations, in the days of the unit's zone; as due items see them. */
export function observationsOf(events: readonly GasUnitEvent[], zone: string): PrechargeObservation[] {
  return events.map(({ id, kind, doneAt, precharge20BarGauge }) => ({
    id,
    kind,
    day: toEpochDay(localDateAt(doneAt.getTime(), zone)),
    precharge20BarGauge,
  }));
}

/** The days of an outlook as dates. */
export function datesOf(outlook: PrechargeOutlook): {
  earliestOn: CalendarDate | null;
  medianOn: CalendarDate | null;
  latestOn: CalendarDate | null;
} {
  const on = (day: number | null): CalendarDate | null => (day === null ? null : fromEpochDay(day));
  return {
    earliestOn: on(outlook.earliestOn),
    medianOn: on(outlook.medianOn),
    latestOn: on(outlook.latestOn),
  };
}

export interface BandOfUnit {
  on: CalendarDate;
  low20BarGauge: number;
  median20BarGauge: number;
  high20BarGauge: number;
}

/** Everything that is told of a unit's outlook, rounded for people; null without an observation. */
export function unitOutlook(
  observations: readonly PrechargeObservation[],
  model: PrechargeModel,
  limit20BarGauge: number,
  todayOn: CalendarDate,
) {
  const outlook = forecastPrecharge(observations, model, { limit20BarGauge });
  if (outlook === null) return null;
  const { fit, lossPerYear, knownUntil } = outlook;
  const today = toEpochDay(todayOn);
  const present = estimateOn(fit, today);
  const figures = {
    present: {
      low20BarGauge: roundedBar(present.lowBarGauge),
      median20BarGauge: roundedBar(present.medianBarGauge),
      high20BarGauge: roundedBar(present.highBarGauge),
    },
    lossPerYear: {
      share: roundedTo(lossPerYear.share, 5),
      low: roundedTo(lossPerYear.low, 5),
      high: roundedTo(lossPerYear.high, 5),
    },
    ...datesOf(outlook),
    openEnd: outlook.openEnd,
    horizonOn: fromEpochDay(knownUntil + PRECHARGE_HORIZON_DAYS),
    probabilityBelowLimit: DAYS_AHEAD.map((daysAhead) => ({
      daysAhead,
      on: fromEpochDay(today + daysAhead),
      probability: roundedTo(probabilityBelow(fit, limit20BarGauge, today + daysAhead), 4),
    })),
    band: outlookBand(observations, model, bandDays(observations, outlook, today)).map(
      ({ day, lowBarGauge, medianBarGauge, highBarGauge }): BandOfUnit => ({
        on: fromEpochDay(day),
        low20BarGauge: roundedBar(lowBarGauge),
        median20BarGauge: roundedBar(medianBarGauge),
        high20BarGauge: roundedBar(highBarGauge),
      }),
    ),
  };
  return { outlook, figures };
}

// Evenly spread, with today and both sides of every charge, where the line jumps.
function bandDays(
  observations: readonly PrechargeObservation[],
  { earliestOn, medianOn, latestOn, knownUntil }: PrechargeOutlook,
  today: number,
): number[] {
  const first = Math.min(...observations.map(({ day }) => day));
  const windowEnd = latestOn ?? medianOn ?? earliestOn ?? today;
  const last = Math.min(
    Math.max(windowEnd + BAND_AFTER_WINDOW_DAYS, today + BAND_AFTER_TODAY_DAYS),
    knownUntil + PRECHARGE_HORIZON_DAYS,
  );
  const days = new Set([first, last, ...(today > first && today < last ? [today] : [])]);
  const step = Math.max(1, Math.ceil((last - first) / BAND_POINTS));
  for (let day = first; day < last; day += step) days.add(day);
  for (const { kind, day } of observations) {
    if (kind !== 'charge') continue;
    days.add(day);
    if (day > first) days.add(day - 1);
  }
  return [...days].sort((a, b) => a - b);
}
