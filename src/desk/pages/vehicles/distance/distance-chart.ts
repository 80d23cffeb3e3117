import type { EChartsCoreOption } from 'echarts/core';
import type { Schemas } from '../../../api/client';
import type { ChartColours } from '../../../design/chart';
import { dayText } from '../../../format/days';
import { distanceText, fromKm } from '../../../format/units';
import type { Reader } from '../../../session/session';
import { forecastBand } from './distance-points';

type Usage = Schemas['UsageDto'];
type Reading = Schemas['OdometerReadingDto'];
type Value = [string, number];

const MARGIN = 1.1;

/**
 * The distance that a vehicle has run, what is forecast, and the readings that wait for a decision. One of these that is
 * far off the scale is drawn at its edge: it must not squeeze everything else.
 */
export function distanceOption(
  usage: Usage,
  quarantined: readonly Reading[],
  { distanceUnit, locale }: Pick<Reader, 'distanceUnit' | 'locale'>,
): (colours: ChartColours) => EChartsCoreOption {
  const shown = (km: number): number => Math.round(fromKm(km, distanceUnit));
  const totals = [...usage.readingsLeftOut, ...usage.readingsUsed]
    .map(({ on, total }): Value => [on, shown(total)])
    .sort(([a], [b]) => (a < b ? -1 : 1));
  const band = forecastBand(usage);
  const highest = Math.max(...totals.map(([, value]) => value), ...band.map(({ highKm }) => shown(highKm)));
  const waiting = quarantined.flatMap(({ readAt, valueKm }): Value[] =>
    valueKm === null ? [] : [[readAt.slice(0, 10), Math.min(shown(valueKm), highest * MARGIN)]],
  );
  const number = new Intl.NumberFormat(locale);
  return (colours) => ({
    textStyle: { color: colours.ink, fontFamily: 'system-ui, sans-serif' },
    grid: { left: 8, right: 24, top: 44, bottom: 8, outerBoundsMode: 'same' },
    legend: {
      top: 8,
      textStyle: { color: colours.ink },
      data: ['Readings', 'Forecast', 'Waiting for a decision'],
    },
    tooltip: {
      trigger: 'item',
      renderMode: 'richText',
      formatter: ({ seriesName, value }: { seriesName: string; value: Value }) =>
        `${seriesName}\n${dayText(value[0], locale)}\n${number.format(value[1])} ${distanceUnit}`,
    },
    xAxis: { type: 'time', axisLabel: { color: colours.soft }, splitLine: { show: false } },
    yAxis: {
      type: 'value',
      name: distanceUnit,
      scale: true,
      axisLabel: { color: colours.soft, formatter: (value: number) => number.format(value) },
      splitLine: { lineStyle: { color: colours.line } },
    },
    series: [
      {
        name: 'Low',
        type: 'line',
        stack: 'band',
        silent: true,
        symbol: 'none',
        lineStyle: { opacity: 0 },
        data: band.map(({ on, lowKm }) => [on, shown(lowKm)]),
      },
      {
        name: 'Band',
        type: 'line',
        stack: 'band',
        silent: true,
        symbol: 'none',
        lineStyle: { opacity: 0 },
        areaStyle: { color: colours.band },
        data: band.map(({ on, lowKm, highKm }) => [on, shown(highKm) - shown(lowKm)]),
      },
      {
        name: 'Forecast',
        type: 'line',
        symbol: 'none',
        lineStyle: { color: colours.accent, type: 'dashed' },
        itemStyle: { color: colours.accent },
        data: band.map(({ on, medianKm }) => [on, shown(medianKm)]),
      },
      {
        name: 'Readings',
        type: 'line',
        symbol: 'circle',
        symbolSize: 7,
        lineStyle: { color: colours.ink, width: 1 },
        itemStyle: { color: colours.ink },
        data: totals,
      },
      {
        name: 'Waiting for a decision',
        type: 'scatter',
        symbol: 'triangle',
        symbolSize: 14,
        itemStyle: { color: colours.bad },
        data: waiting,
      },
    ],
  });
}

/** What the chart shows, in a sentence. */
export function usageInWords(
  { ratePerDay, lastReading, forecast, todayOn }: Usage,
  { distanceUnit, locale }: Pick<Reader, 'distanceUnit' | 'locale'>,
): string {
  if (lastReading === null) return 'No reading counts yet: nothing can be forecast.';
  const read = `Last reading that counts: ${distanceText(lastReading.total, distanceUnit, locale)} in all on ${dayText(lastReading.on, locale)}.`;
  const last = forecastBand({ forecast, todayOn }).at(-1);
  if (ratePerDay === null || last === undefined) return read;
  const { on, lowKm, highKm } = last;
  const text = (km: number): string => distanceText(km, distanceUnit, locale);
  return `${read} About ${text(ratePerDay)} a day on the road. On ${dayText(on, locale)} it will probably have run ${text(lowKm)} to ${text(highKm)} (8 times in 10).`;
}
