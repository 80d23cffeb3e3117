import type { EChartsCoreOption } from 'echarts/core';
import type { ChartColours } from '../../design/chart';
import { dayText } from '../../format/days';
import { fromBar, pressureText } from '../../format/units';
import type { Reader } from '../../session/session';
import type { Forecast } from './outlook-words';

type Value = [string, number];

const DIGITS = 100;

/** The precharge of a unit at 20 °C: what was measured, the fitted line with its band, and the limit. */
export function trendOption(
  { observations, band, limit, todayOn }: Forecast,
  { pressureUnit, locale }: Pick<Reader, 'pressureUnit' | 'locale'>,
): (colours: ChartColours) => EChartsCoreOption {
  const shown = (bar: number): number => Math.round(fromBar(bar, pressureUnit) * DIGITS) / DIGITS;
  const text = (bar: number): string => pressureText(bar, pressureUnit, locale);
  const measured = (which: (each: Forecast['observations'][number]) => boolean): Value[] =>
    observations.filter(which).map(({ doneOn, precharge20BarGauge }) => [doneOn, shown(precharge20BarGauge)]);
  return (colours) => ({
    textStyle: { color: colours.ink, fontFamily: 'system-ui, sans-serif' },
    grid: { left: 8, right: 24, top: 64, bottom: 8, outerBoundsMode: 'same' },
    legend: {
      top: 8,
      textStyle: { color: colours.ink },
      data: ['Tests', 'Charges', 'Left out', 'Fitted line'],
    },
    tooltip: {
      trigger: 'item',
      renderMode: 'richText',
      formatter: ({ seriesName, value }: { seriesName: string; value: Value }) =>
        `${seriesName}\n${dayText(value[0], locale)}\n${value[1].toLocaleString(locale)} ${pressureUnit} at 20 °C`,
    },
    xAxis: { type: 'time', axisLabel: { color: colours.soft }, splitLine: { show: false } },
    yAxis: {
      type: 'value',
      name: `${pressureUnit} at 20 °C`,
      nameTextStyle: { align: 'left' },
      scale: true,
      min: ({ min }: { min: number }) => Math.floor(Math.min(min, shown(limit.limit20BarGauge)) * 0.95),
      axisLabel: { color: colours.soft },
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
        data: band.map(({ on, low20BarGauge }) => [on, shown(low20BarGauge)]),
      },
      {
        name: 'Band',
        type: 'line',
        stack: 'band',
        silent: true,
        symbol: 'none',
        lineStyle: { opacity: 0 },
        areaStyle: { color: colours.band },
        data: band.map(({ on, low20BarGauge, high20BarGauge }) => [
          on,
          shown(high20BarGauge) - shown(low20BarGauge),
        ]),
      },
      {
        name: 'Fitted line',
        type: 'line',
        symbol: 'none',
        lineStyle: { color: colours.accent },
        itemStyle: { color: colours.accent },
        data: band.map(({ on, median20BarGauge }) => [on, shown(median20BarGauge)]),
        markLine: {
          symbol: 'none',
          silent: true,
          data: [
            line(
              `limit ${text(limit.limit20BarGauge)}`,
              { yAxis: shown(limit.limit20BarGauge) },
              colours.bad,
            ),
            line(
              `nominal ${text(limit.nominal20BarGauge)}`,
              { yAxis: shown(limit.nominal20BarGauge) },
              colours.soft,
            ),
            line('today', { xAxis: todayOn }, colours.soft),
          ],
        },
      },
      {
        name: 'Tests',
        type: 'scatter',
        symbol: 'circle',
        symbolSize: 10,
        itemStyle: { color: colours.ink },
        data: measured(({ kind, used }) => kind === 'precharge-test' && used),
      },
      {
        name: 'Charges',
        type: 'scatter',
        symbol: 'triangle',
        symbolSize: 13,
        itemStyle: { color: colours.accent },
        data: measured(({ kind, used }) => kind === 'charge' && used),
      },
      {
        name: 'Left out',
        type: 'scatter',
        symbol: 'emptyDiamond',
        symbolSize: 13,
        itemStyle: { color: colours.warn },
        data: measured(({ used }) => !used),
      },
    ],
  });
}

function line(name: string, at: { xAxis: string } | { yAxis: number }, color: string) {
  const position = 'xAxis' in at ? 'insideEndTop' : 'insideStartTop';
  return { ...at, lineStyle: { color, type: 'dashed' }, label: { formatter: name, color, position } };
}
