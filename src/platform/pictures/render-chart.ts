import { CustomChart, LineChart, type CustomSeriesOption, type LineSeriesOption } from 'echarts/charts';
import {
  GridComponent,
  TitleComponent,
  type GridComponentOption,
  type TitleComponentOption,
} from 'echarts/components';
import { init, use, type ComposeOption } from 'echarts/core';
import { SVGRenderer } from 'echarts/renderers';
import { finishSvg } from './finish-svg';
import { FONT_SIZE, INK, PAPER, type Point, type Shape } from './shapes';

// Importing this file loads the drawing library: whoever serves a picture now and then imports it when one is asked for.

use([CustomChart, GridComponent, LineChart, SVGRenderer, TitleComponent]);

export type ChartOption = ComposeOption<
  CustomSeriesOption | GridComponentOption | LineSeriesOption | TitleComponentOption
>;

export interface ChartFrame {
  /** begins every id, so that several pictures may stand in one page */
  readonly key: string;
  readonly title: string;
  /** one line below the title; none where empty */
  readonly summary: string;
  /** all that can be seen, for those who cannot */
  readonly description: string;
  readonly width: number;
  readonly height: number;
  /** where the title begins, and how much is kept free to the right of it */
  readonly left: number;
  readonly right: number;
}

export const AXIS_TEXT = { fontSize: FONT_SIZE, color: INK, fontFamily: 'sans-serif' };
export const BLACK = { lineStyle: { color: INK } };
export const GRID_LINE = { lineStyle: { color: '#e4e4e4' } };

/**
 * Draws a chart as a self-contained SVG, black and grey on paper of its own, so that it reads alike on a light and on a
 * dark page. The same chart always gives the same text.
 *
 * @param option all but the title
 */
export function renderChart(
  { key, title, summary, description, width, height, left, right }: ChartFrame,
  option: ChartOption,
): string {
  const chart = init(null, null, { renderer: 'svg', ssr: true, width, height });
  try {
    chart.setOption({
      animation: false,
      useUTC: true,
      backgroundColor: PAPER,
      textStyle: { fontFamily: 'sans-serif' },
      ...option,
      title: {
        text: title,
        subtext: summary,
        left,
        top: 10,
        padding: 0,
        itemGap: 8,
        textStyle: {
          fontSize: 15,
          color: INK,
          fontFamily: 'sans-serif',
          width: width - left - right,
          overflow: 'truncate',
        },
        subtextStyle: AXIS_TEXT,
      },
    });
    return finishSvg(chart.renderToSVGString(), key, title, description);
  } finally {
    chart.dispose();
  }
}

/**
 * Figures in a chart. The library draws a custom figure once for each of its data; there is one, at a place that it can
 * map.
 *
 * @param at a place on the axes
 * @param shapes given what turns places on the axes into pixels
 * @param z what is drawn later lies over what is drawn earlier
 */
export function drawnSeries(
  at: readonly [number, number],
  shapes: (place: (x: number, y: number) => Point) => Shape[],
  z = 2,
): CustomSeriesOption {
  return {
    type: 'custom',
    data: [[...at]],
    clip: false,
    z,
    silent: true,
    renderItem: (_, api) => ({
      type: 'group',
      children: shapes((x, y) => {
        const [pixelsRight = 0, pixelsDown = 0] = api.coord([x, y]);
        return [pixelsRight, pixelsDown];
      }),
    }),
  };
}
