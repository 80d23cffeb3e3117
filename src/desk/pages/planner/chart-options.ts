import type { BarSeriesOption, LineSeriesOption } from 'echarts/charts';
import type {
  AriaComponentOption,
  GridComponentOption,
  LegendComponentOption,
  TooltipComponentOption,
} from 'echarts/components';
import type { ComposeOption } from 'echarts/core';

export type ChartOption = ComposeOption<
  | BarSeriesOption
  | LineSeriesOption
  | AriaComponentOption
  | GridComponentOption
  | LegendComponentOption
  | TooltipComponentOption
>;

export interface ChartColours {
  ink: string;
  soft: string;
  line: string;
  accent: string;
  accentSoft: string;
  info: string;
  bad: string;
  warn: string;
  sheet: string;
}

interface Axes {
  colours: ChartColours;
  /** of the columns, first to last */
  labels: readonly string[];
  /** of the values */
  unit: string;
  numberText: (value: number) => string;
}

// bars are told apart by patterns as well, lines by dashes: not by colour alone
function onAxes({ colours, labels, unit, numberText }: Axes): ChartOption {
  const text = { color: colours.soft, fontSize: 14 };
  return {
    animation: false,
    aria: { enabled: true, label: { enabled: false }, decal: { show: true } },
    grid: { left: 8, right: 12, top: 80, bottom: 8, containLabel: true },
    legend: { type: 'plain', top: 0, textStyle: { color: colours.ink, fontSize: 14 } },
    tooltip: {
      trigger: 'axis',
      renderMode: 'richText',
      backgroundColor: colours.sheet,
      borderColor: colours.line,
      textStyle: { color: colours.ink },
      valueFormatter: (value) => (typeof value === 'number' ? numberText(value) : ''),
    },
    xAxis: {
      type: 'category',
      data: [...labels],
      axisLabel: { ...text, hideOverlap: true },
      axisLine: { lineStyle: { color: colours.line } },
    },
    yAxis: {
      type: 'value',
      name: unit,
      nameTextStyle: { ...text, align: 'left' },
      axisLabel: { ...text, formatter: numberText },
      splitLine: { lineStyle: { color: colours.line } },
    },
  };
}

export interface AvailabilityLine {
  label: string;
  before: number;
  after: number;
  needed: number;
}

/** Vehicles on the road by day, as booked and with the plan, against what the roster needs. */
export function availabilityOption(axes: Axes, days: readonly AvailabilityLine[]): ChartOption {
  const { colours } = axes;
  return {
    ...onAxes(axes),
    series: [
      {
        type: 'line',
        name: 'As booked today',
        step: 'middle',
        symbol: 'none',
        data: days.map(({ before }) => before),
        color: colours.info,
        lineStyle: { width: 2, type: 'dotted' },
      },
      {
        type: 'line',
        name: 'With the plan',
        step: 'middle',
        symbol: 'none',
        data: days.map(({ after }) => after),
        color: colours.accent,
        lineStyle: { width: 3 },
      },
      {
        type: 'line',
        name: 'The roster needs',
        step: 'middle',
        symbol: 'none',
        data: days.map(({ needed }) => needed),
        color: colours.bad,
        lineStyle: { width: 2, type: 'dashed' },
      },
    ],
  };
}

export interface LoadWeek {
  bookedHours: number;
  plannedHours: number;
  openHours: number;
}

/** Hours of a workshop's bays by week: booked and planned, against those that they are open. */
export function loadOption(axes: Axes, weeks: readonly LoadWeek[]): ChartOption {
  const { colours } = axes;
  return {
    ...onAxes(axes),
    series: [
      {
        type: 'bar',
        stack: 'taken',
        name: 'Booked already',
        data: weeks.map(({ bookedHours }) => bookedHours),
        color: colours.info,
      },
      {
        type: 'bar',
        stack: 'taken',
        name: 'Planned',
        data: weeks.map(({ plannedHours }) => plannedHours),
        color: colours.accent,
      },
      {
        type: 'line',
        name: 'Bays are open',
        step: 'middle',
        symbol: 'none',
        data: weeks.map(({ openHours }) => openHours),
        color: colours.ink,
        lineStyle: { width: 2, type: 'dashed' },
      },
    ],
  };
}

/** What is expected month by month, within its band. */
export function bandOption(
  axes: Axes,
  months: readonly { expected: number; low: number; high: number }[],
): ChartOption {
  const { colours } = axes;
  const edge = { type: 'line', symbol: 'none', color: colours.info } as const;
  return {
    ...onAxes(axes),
    series: [
      {
        type: 'bar',
        name: 'Expected',
        data: months.map(({ expected }) => expected),
        color: colours.accent,
        barMaxWidth: 40,
      },
      {
        ...edge,
        name: 'Hardly less than',
        data: months.map(({ low }) => low),
        lineStyle: { width: 2, type: 'dotted' },
      },
      {
        ...edge,
        name: 'Hardly more than',
        data: months.map(({ high }) => high),
        lineStyle: { width: 2, type: 'dashed' },
      },
    ],
  };
}
