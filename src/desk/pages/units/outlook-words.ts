import type { Schemas } from '../../api/client';
import { dayText } from '../../format/days';

export type Forecast = Schemas['PrechargeForecastDto'];

/** When a unit has to be recharged by what was measured, and how sure that is. */
export function howSure(
  {
    present,
    limit,
    todayOn,
    earliestOn,
    medianOn,
    latestOn,
    horizonOn,
  }: Pick<Forecast, 'present' | 'limit' | 'todayOn' | 'earliestOn' | 'medianOn' | 'latestOn' | 'horizonOn'>,
  locale: string,
): string {
  if (present === null) return 'When it has to be recharged cannot be told: nothing has been measured.';
  const day = (on: string): string => dayText(on, locale);
  if (present.median20BarGauge < limit.limit20BarGauge)
    return 'It is probably below its limit now: recharge it.';
  const horizon = horizonOn === null ? 'the end of the forecast' : day(horizonOn);
  if (medianOn === null)
    return earliestOn === null
      ? `Hardly to be recharged before ${horizon}.`
      : `Recharge perhaps from ${day(earliestOn)} (1 in 10), more probably after ${horizon}.`;
  const early = earliestOn === null || earliestOn < todayOn ? 'today' : day(earliestOn);
  const late =
    latestOn === null ? `no later than can be told, beyond ${horizon}` : `by ${day(latestOn)} with 9 in 10`;
  return `Recharge about ${day(medianOn)}: it is below its limit from ${early} with 1 in 10, ${late}.`;
}
