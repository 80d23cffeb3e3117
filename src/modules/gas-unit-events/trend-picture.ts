import type { LineSeriesOption } from 'echarts/charts';
import { CalendarDate } from '../../core/shared/calendar-date';
import { plainText } from '../../platform/pictures/plain-text';
import {
  AXIS_TEXT,
  BLACK,
  drawnSeries,
  GRID_LINE,
  renderChart,
  type ChartOption,
} from '../../platform/pictures/render-chart';
import { INK } from '../../platform/pictures/shapes';
import { pressureAxis, timeAxis, timeOf } from './trend-axes';
import type { TrendPicture } from './trend-content';
import {
  dueWords,
  HEIGHT,
  layerBehind,
  layerInFront,
  PLOT_BOTTOM,
  PLOT_LEFT,
  PLOT_RIGHT,
  trendLayout,
  WIDTH,
} from './trend-layers';

export type { TrendPicture } from './trend-content';

/**
 * Draws the trend of a unit's precharge as a self-contained SVG of 960 by 420 pixels. Black and white: marks
 * and lines differ in outline, not in colour. The same picture always gives the same text. Words from outside
 * are escaped and cut to fit; what there is no room to label is still in the description.
 */
export function renderTrendPicture(picture: TrendPicture): string {
  const dates = datesOf(picture);
  const pressures = pressuresOf(picture);
  const isKnown = dates.length > 0 && pressures.length > 0;
  return renderChart(
    {
      key: 'trend',
      title: plainText(`Gas unit ${picture.serialNumber}, type ${picture.unitType}`),
      summary: isKnown ? '' : 'No precharge is recorded yet.',
      description: describe(picture),
      width: WIDTH,
      height: HEIGHT,
      left: PLOT_LEFT,
      right: RIGHT_MARGIN,
    },
    isKnown ? plotOption(picture, dates, pressures) : {},
  );
}

const RIGHT_MARGIN = 20;

function plotOption(
  picture: TrendPicture,
  dates: readonly CalendarDate[],
  pressures: readonly number[],
): ChartOption {
  const time = timeAxis(dates);
  const pressure = pressureAxis(pressures);
  const layout = trendLayout(picture, time, pressure);
  return {
    grid: {
      left: PLOT_LEFT,
      right: WIDTH - PLOT_RIGHT,
      top: layout.plotTop,
      bottom: HEIGHT - PLOT_BOTTOM,
      outerBoundsMode: 'none',
    },
    xAxis: {
      type: 'time',
      min: time.min,
      max: time.max,
      name: 'date',
      nameLocation: 'middle',
      nameGap: 26,
      nameTextStyle: AXIS_TEXT,
      axisLine: { onZero: false, ...BLACK },
      axisTick: { customValues: [...time.ticks], ...BLACK },
      axisLabel: {
        ...AXIS_TEXT,
        customValues: [...time.ticks],
        formatter: (at: number) => new Date(at).toISOString().slice(0, time.yearsOnly ? 4 : 7),
      },
    },
    yAxis: {
      type: 'value',
      min: pressure.min,
      max: pressure.max,
      interval: pressure.interval,
      name: 'precharge at 20 °C (bar gauge)',
      nameLocation: 'middle',
      nameGap: 40,
      nameTextStyle: AXIS_TEXT,
      axisLine: { show: true, ...BLACK },
      axisTick: { show: true, ...BLACK },
      axisLabel: { ...AXIS_TEXT, formatter: (bar: number) => bar.toFixed(pressure.decimals) },
      splitLine: GRID_LINE,
    },
    series: [
      drawnSeries([time.min, pressure.min], () => layerBehind(picture, layout), 1),
      fittedSeries(picture, 'low20BarGauge'),
      fittedSeries(picture, 'high20BarGauge'),
      fittedSeries(picture, 'median20BarGauge'),
      drawnSeries([time.min, pressure.min], () => layerInFront(picture, layout), 3),
    ],
  };
}

function fittedSeries(
  { fit }: TrendPicture,
  bar: 'median20BarGauge' | 'low20BarGauge' | 'high20BarGauge',
): LineSeriesOption {
  return {
    type: 'line',
    data: fit.map((point) => [timeOf(point.on), point[bar]]),
    showSymbol: false,
    silent: true,
    z: 2,
    lineStyle: bar === 'median20BarGauge' ? { color: INK, width: 2 } : { color: INK, width: 1, type: [4, 3] },
  };
}

function datesOf({ tests, fit, dueWindow: due, recharges, moves }: TrendPicture): CalendarDate[] {
  const dates = [...tests, ...fit, ...recharges, ...moves].map(({ on }) => on);
  for (const on of [due?.earliestOn, due?.medianOn, due?.latestOn]) if (on) dates.push(on);
  return dates;
}

// A wide band is cut off at the plot's edge rather than flatten everything else, and so is a test that was left
// out, if it is far from all the rest.
function pressuresOf({ tests, fit, nominal20BarGauge, limit20BarGauge }: TrendPicture): number[] {
  const pressures = [
    ...tests.filter(({ mark }) => mark !== 'left-out').map(({ precharge20BarGauge }) => precharge20BarGauge),
    ...fit.map(({ median20BarGauge }) => median20BarGauge),
  ];
  for (const bar of [nominal20BarGauge, limit20BarGauge]) if (bar !== null) pressures.push(bar);
  const leftOut = tests.map(({ precharge20BarGauge }) => precharge20BarGauge);
  if (pressures.length === 0) return leftOut;
  const lowest = Math.min(...pressures);
  const highest = Math.max(...pressures);
  const near = Math.max(highest - lowest, 0.2 * highest);
  return [...pressures, ...leftOut.filter((bar) => bar > lowest - near && bar < highest + near)];
}

function describe(picture: TrendPicture): string {
  const { nominal20BarGauge, limit20BarGauge, dueWindow } = picture;
  const sentences = ['Precharge at 20 °C in bar gauge over date.'];
  if (nominal20BarGauge !== null) sentences.push(`Nominal ${nominal20BarGauge.toFixed(1)} bar.`);
  if (limit20BarGauge !== null) sentences.push(`Limit ${limit20BarGauge.toFixed(1)} bar.`);
  for (const { on, precharge20BarGauge, mark } of picture.tests)
    sentences.push(`Test ${on}: ${precharge20BarGauge.toFixed(1)} bar, ${mark.replace('-', ' ')}.`);
  for (const { on, label } of picture.recharges) sentences.push(`Recharge ${on}: ${plainText(label)}.`);
  for (const { on, label } of picture.moves) sentences.push(`Moved ${on}: ${plainText(label)}.`);
  if (picture.tests.length === 0) sentences.push('No tests.');
  if (dueWindow) sentences.push(`${dueWords(dueWindow)}.`);
  return sentences.join(' ');
}
