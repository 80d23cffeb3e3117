import { CalendarDate } from '../../core/shared/calendar-date';
import { keyRow, type KeyEntry } from '../../platform/pictures/key-row';
import { plainText } from '../../platform/pictures/plain-text';
import { line, text, textWidth, type Shape } from '../../platform/pictures/shapes';
import { PressureAxis, TimeAxis, timeOf } from './trend-axes';
import { placeInRows, PlacedLabel } from './trend-label-rows';
import type { TestMark, TrendPicture } from './trend-content';
import { FAINT, hatch, rechargeMark, testMark } from './trend-shapes';

export const WIDTH = 960;
export const HEIGHT = 420;
export const PLOT_LEFT = 66;
export const PLOT_RIGHT = WIDTH - 122;
export const PLOT_BOTTOM = HEIGHT - 78;
const TITLE_HEIGHT = 36;
const ROW_HEIGHT = 15;
const MOVE_ROWS = 4;
const RECHARGE_ROWS = 2;
const KEY_Y = HEIGHT - 14;
const EDGE = 8;

/** Where things are, in pixels. */
export interface TrendLayout {
  readonly plotTop: number;
  readonly xOf: (on: CalendarDate) => number;
  readonly yOf: (precharge20BarGauge: number) => number;
  readonly moves: readonly PlacedLabel[];
  readonly recharges: readonly PlacedLabel[];
}

/** Places the labels; the plot begins below them. */
export function trendLayout(picture: TrendPicture, time: TimeAxis, pressure: PressureAxis): TrendLayout {
  const xOf = (on: CalendarDate): number =>
    PLOT_LEFT + ((timeOf(on) - time.min) / (time.max - time.min)) * (PLOT_RIGHT - PLOT_LEFT);
  const moves = placeInRows(
    picture.moves.map(({ on, label }) => ({ x: xOf(on), text: plainText(label, 28) })),
    MOVE_ROWS,
    1,
    [EDGE, WIDTH - EDGE],
  );
  const recharges = placeInRows(
    picture.recharges.map(({ on, label }) => ({ x: xOf(on), text: plainText(label, 28) })),
    RECHARGE_ROWS,
    5,
    [PLOT_LEFT, PLOT_RIGHT],
  );
  const rows = Math.max(0, ...moves.map(({ row }) => (row === null ? 0 : row + 1)));
  const plotTop = TITLE_HEIGHT + ROW_HEIGHT * (rows + (picture.dueWindow ? 1 : 0)) + 4;
  const yOf = (bar: number): number =>
    PLOT_BOTTOM - ((bar - pressure.min) / (pressure.max - pressure.min)) * (PLOT_BOTTOM - plotTop);
  return { plotTop, xOf, yOf, moves, recharges };
}

/** What lies under the fitted line: the due window and the lines that it is read against. */
export function layerBehind(picture: TrendPicture, layout: TrendLayout): Shape[] {
  return [...dueWindow(picture, layout), ...moveLines(layout), ...referenceLines(picture, layout)];
}

/** What lies over it: tests, recharges, and the key at the bottom. */
export function layerInFront(picture: TrendPicture, layout: TrendLayout): Shape[] {
  return [
    ...layout.recharges.flatMap(({ x, row, left, text: words }) => [
      rechargeMark(x, PLOT_BOTTOM - 7),
      ...(row === null ? [] : [text(left, PLOT_BOTTOM - 8 - ROW_HEIGHT * row, words)]),
    ]),
    ...picture.tests.flatMap(({ on, precharge20BarGauge, mark }) => {
      const x = layout.xOf(on);
      const y = layout.yOf(precharge20BarGauge);
      if (y >= layout.plotTop && y <= PLOT_BOTTOM) return testMark(mark, x, y);
      const inside = y < layout.plotTop ? layout.plotTop + EDGE : PLOT_BOTTOM - EDGE;
      return [...testMark(mark, x, inside), text(x + EDGE, inside, `${precharge20BarGauge.toFixed(1)} bar`)];
    }),
    ...keyRow(key(picture), PLOT_LEFT, KEY_Y),
  ];
}

function dueWindow({ dueWindow: due }: TrendPicture, { plotTop, xOf }: TrendLayout): Shape[] {
  if (!due) return [];
  const left = xOf(due.earliestOn);
  const right = due.latestOn === null ? PLOT_RIGHT : xOf(due.latestOn);
  const dotted = { lineDash: [1.5, 3] };
  const shapes = [
    ...hatch(left, plotTop, right, PLOT_BOTTOM),
    line(left, plotTop, left, PLOT_BOTTOM, dotted),
    ...(due.latestOn === null ? [] : [line(right, plotTop, right, PLOT_BOTTOM, dotted)]),
  ];
  if (due.medianOn !== null) {
    const x = xOf(due.medianOn);
    shapes.push(line(x, plotTop, x, PLOT_BOTTOM, { lineWidth: 2 }));
  }
  const words = dueWords(due);
  const width = textWidth(words);
  const start = Math.max(EDGE, Math.min((left + right) / 2 - width / 2, WIDTH - EDGE - width));
  // its own row above those of the moves, so that none of their lines crosses it
  return [...shapes, text(start, TITLE_HEIGHT + ROW_HEIGHT / 2 - 2, words)];
}

/** The three days of a due window in words. */
export function dueWords({ earliestOn, medianOn, latestOn }: NonNullable<TrendPicture['dueWindow']>): string {
  const on = (day: CalendarDate | null): string => day ?? 'beyond the forecast';
  return `due: earliest (10 %) ${earliestOn}, median ${on(medianOn)}, latest (90 %) ${on(latestOn)}`;
}

function moveLines({ plotTop, moves }: TrendLayout): Shape[] {
  return moves.flatMap(({ x, left, row, text: words }) => {
    if (row === null) return [line(x, plotTop, x, PLOT_BOTTOM, { stroke: FAINT })];
    const y = plotTop - 2 - ROW_HEIGHT * (row + 0.5);
    return [line(x, y - ROW_HEIGHT / 2, x, PLOT_BOTTOM, { stroke: FAINT }), text(left, y, words)];
  });
}

function referenceLines(picture: TrendPicture, { yOf }: TrendLayout): Shape[] {
  const lines = [
    { name: 'nominal', bar: picture.nominal20BarGauge, lineDash: [9, 3, 2, 3] },
    { name: 'limit', bar: picture.limit20BarGauge, lineDash: [9, 4] },
  ].filter((each): each is typeof each & { bar: number } => each.bar !== null);
  const tooClose =
    lines.length === 2 && Math.abs(yOf(lines[0]?.bar ?? 0) - yOf(lines[1]?.bar ?? 0)) < ROW_HEIGHT;
  return lines.flatMap(({ name, bar, lineDash }) => {
    const y = yOf(bar);
    const apart = tooClose ? (name === 'nominal' ? -ROW_HEIGHT / 2 : ROW_HEIGHT / 2) : 0;
    return [
      line(PLOT_LEFT, y, PLOT_RIGHT, y, { lineWidth: 1.3, lineDash }),
      text(PLOT_RIGHT + 6, y + apart, `${name} ${bar.toFixed(1)} bar`),
    ];
  });
}

const MARK_NAMES: readonly (readonly [TestMark, string])[] = [
  ['passed', 'test passed'],
  ['failed', 'test failed'],
  ['inconclusive', 'inconclusive'],
  ['left-out', 'left out'],
];

function key(picture: TrendPicture): KeyEntry[] {
  const entries: KeyEntry[] = [];
  const add = (words: string, symbolWidth: number, symbol: KeyEntry['symbol']): void => {
    entries.push({ words, symbolWidth, symbol });
  };
  for (const [mark, words] of MARK_NAMES) {
    if (picture.tests.some((test) => test.mark === mark)) add(words, 12, (x, y) => testMark(mark, x + 6, y));
  }
  if (picture.recharges.length > 0) add('recharge', 12, (x, y) => [rechargeMark(x + 6, y)]);
  if (picture.fit.length > 0) {
    add('fitted', 24, (x, y) => [line(x, y, x + 24, y, { lineWidth: 2 })]);
    add('10 % and 90 %', 24, (x, y) => [line(x, y, x + 24, y, { lineDash: [4, 3] })]);
  }
  if (picture.dueWindow) add('due window', 24, (x, y) => hatch(x, y - 6, x + 24, y + 6));
  if (picture.moves.length > 0)
    add('moved', 6, (x, y) => [line(x + 3, y - 7, x + 3, y + 7, { stroke: FAINT })]);
  return entries;
}
