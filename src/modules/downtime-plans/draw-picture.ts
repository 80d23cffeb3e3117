import { keyRow, type KeyEntry } from '../../platform/pictures/key-row';
import {
  AXIS_TEXT,
  BLACK,
  drawnSeries,
  GRID_LINE,
  renderChart,
  type ChartFrame,
  type ChartOption,
} from '../../platform/pictures/render-chart';
import type { RoundAxis } from '../../platform/pictures/round-axis';
import type { Point, Shape } from '../../platform/pictures/shapes';

const NARROWEST = 960;
const HEIGHT = 420;
const PLOT_LEFT = 66;
const PLOT_TOP = 96;
const PLOT_BOTTOM = HEIGHT - 86;
const RIGHT_MARGIN = 24;

/** Columns of equal width, the first from 0 to 1, against a scale. */
export interface Picture extends Pick<ChartFrame, 'key' | 'title' | 'summary' | 'description'> {
  columns: number;
  narrowestColumn: number;
  columnsName: string;
  /** by the column below which they stand; which of them have room is for the width to say */
  columnLabels: (columnWidth: number) => ReadonlyMap<number, string>;
  scale: RoundAxis;
  scaleName: string;
  /** `place` turns columns and values of the scale into pixels */
  shapes: (place: (column: number, value: number) => Point) => Shape[];
  legend: readonly KeyEntry[];
}

/**
 * Draws a picture as a self-contained SVG, 960 by 420 pixels or wider where the columns need it. Black, white and
 * grey: shapes differ in outline and filling, not in colour. The same picture always gives the same text.
 */
export function drawPicture(picture: Picture): string {
  const { key, title, summary, description, columns, narrowestColumn } = picture;
  const plotWidth = Math.max(NARROWEST - PLOT_LEFT - RIGHT_MARGIN, columns * narrowestColumn);
  const width = PLOT_LEFT + plotWidth + RIGHT_MARGIN;
  const margins = { left: PLOT_LEFT, right: RIGHT_MARGIN };
  return renderChart(
    { key, title, summary, description, width, height: HEIGHT, ...margins },
    columns === 0 ? {} : plotOption(picture, plotWidth),
  );
}

function plotOption(picture: Picture, plotWidth: number): ChartOption {
  const { columns, scale } = picture;
  const labels = picture.columnLabels(plotWidth / columns);
  return {
    grid: {
      left: PLOT_LEFT,
      right: RIGHT_MARGIN,
      top: PLOT_TOP,
      bottom: HEIGHT - PLOT_BOTTOM,
      outerBoundsMode: 'none',
    },
    xAxis: {
      type: 'value',
      min: 0,
      max: columns,
      name: picture.columnsName,
      nameLocation: 'middle',
      nameGap: 40,
      nameTextStyle: AXIS_TEXT,
      axisLine: { show: true, onZero: false, ...BLACK },
      axisTick: { show: true, customValues: [...labels.keys()], ...BLACK },
      axisLabel: {
        ...AXIS_TEXT,
        lineHeight: 13,
        customValues: [...labels.keys()].map((column) => column + 0.5),
        formatter: (middle: number) => labels.get(middle - 0.5) ?? '',
      },
      splitLine: { show: false },
    },
    yAxis: {
      type: 'value',
      ...scale,
      name: picture.scaleName,
      nameLocation: 'middle',
      nameGap: 44,
      nameTextStyle: AXIS_TEXT,
      axisLine: { show: true, ...BLACK },
      axisTick: { show: true, ...BLACK },
      axisLabel: { ...AXIS_TEXT, formatter: (value: number) => String(value) },
      splitLine: GRID_LINE,
    },
    series: drawnSeries([0, scale.min], (place) => [
      ...picture.shapes(place),
      ...keyRow(picture.legend, PLOT_LEFT, HEIGHT - 14),
    ]),
  };
}
