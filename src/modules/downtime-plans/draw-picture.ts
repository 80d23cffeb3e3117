import { CustomChart, type CustomSeriesOption } from 'echarts/charts';
import {
  GridComponent,
  TitleComponent,
  type GridComponentOption,
  type TitleComponentOption,
} from 'echarts/components';
import { init, use, type ComposeOption } from 'echarts/core';
import { SVGRenderer } from 'echarts/renderers';
import type { RoundAxis } from './picture-axis';
import { FONT_SIZE, INK, keyRow, PAPER, type KeyEntry, type Point, type Shape } from './picture-shapes';
import { finishSvg } from './picture-svg';

use([CustomChart, GridComponent, SVGRenderer, TitleComponent]);

const NARROWEST = 960;
const HEIGHT = 420;
const PLOT_LEFT = 66;
const PLOT_TOP = 96;
const PLOT_BOTTOM = HEIGHT - 86;
const RIGHT_MARGIN = 24;

/** Columns of equal width, the first from 0 to 1, against a scale. */
export interface Picture {
  /** begins every id */
  key: string;
  title: string;
  /** one line below the title */
  summary: string;
  /** all that can be seen, for those who cannot */
  description: string;
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
  const plotWidth = Math.max(NARROWEST - PLOT_LEFT - RIGHT_MARGIN, picture.columns * picture.narrowestColumn);
  const width = PLOT_LEFT + plotWidth + RIGHT_MARGIN;
  const chart = init(null, null, { renderer: 'svg', ssr: true, width, height: HEIGHT });
  try {
    chart.setOption({
      animation: false,
      backgroundColor: PAPER,
      textStyle: { fontFamily: 'sans-serif' },
      title: titleOption(picture, width),
      ...(picture.columns === 0 ? {} : plotOption(picture, plotWidth)),
    });
    return finishSvg(chart.renderToSVGString(), picture.key, picture.title, picture.description);
  } finally {
    chart.dispose();
  }
}

const AXIS_TEXT = { fontSize: FONT_SIZE, color: INK, fontFamily: 'sans-serif' };
const BLACK = { lineStyle: { color: INK } };

type Option = ComposeOption<CustomSeriesOption | GridComponentOption | TitleComponentOption>;

function titleOption({ title, summary }: Picture, width: number): TitleComponentOption {
  return {
    text: title,
    subtext: summary,
    left: PLOT_LEFT,
    top: 10,
    padding: 0,
    itemGap: 8,
    textStyle: {
      fontSize: 15,
      color: INK,
      fontFamily: 'sans-serif',
      width: width - PLOT_LEFT - RIGHT_MARGIN,
      overflow: 'truncate',
    },
    subtextStyle: AXIS_TEXT,
  };
}

function plotOption(picture: Picture, plotWidth: number): Option {
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
      splitLine: { lineStyle: { color: '#e4e4e4' } },
    },
    series: {
      type: 'custom',
      // the library draws a custom figure once for each of its data; there is one, at a place that it can map
      data: [[0, scale.min]],
      clip: false,
      silent: true,
      renderItem: (_, api) => ({
        type: 'group',
        children: [
          ...picture.shapes((column, value) => {
            const [x = 0, y = 0] = api.coord([column, value]);
            return [x, y];
          }),
          ...keyRow(picture.legend, PLOT_LEFT, HEIGHT - 14),
        ],
      }),
    },
  };
}
