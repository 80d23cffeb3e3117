import { addDays, CalendarDate, toEpochDay } from '../../../src/core/shared/calendar-date';
import { pressureAxis, timeAxis } from '../../../src/modules/gas-unit-events/trend-axes';
import { placeInRows } from '../../../src/modules/gas-unit-events/trend-label-rows';
import { renderTrendPicture, TrendPicture } from '../../../src/modules/gas-unit-events/trend-picture';
import { textWidth } from '../../../src/platform/pictures/shapes';
import { coloursOf, elementsOf, placeOf, textsOf } from '../../support/svg-elements';

const CHARGED_ON = '2022-03-01';
const fittedBar = (days: number) => 56.5 * Math.exp(-0.00017 * days);

const PICTURE: TrendPicture = {
  serialNumber: 'TV-10442',
  unitType: 'suspension front, 400 ml',
  nominal20BarGauge: 55,
  limit20BarGauge: 44,
  tests: [
    { on: '2022-09-12', precharge20BarGauge: 55.1, mark: 'passed' },
    { on: '2023-10-21', precharge20BarGauge: 61.9, mark: 'left-out' },
    { on: '2024-11-02', precharge20BarGauge: 47.1, mark: 'inconclusive' },
    { on: '2025-06-30', precharge20BarGauge: 46.4, mark: 'passed' },
    { on: '2026-02-14', precharge20BarGauge: 43.6, mark: 'failed' },
  ],
  fit: [0, 400, 800, 1_200, 1_600, 2_000].map((days) => ({
    on: addDays(CHARGED_ON, days),
    median20BarGauge: fittedBar(days),
    low20BarGauge: fittedBar(days) - 0.8 - 0.0012 * days,
    high20BarGauge: fittedBar(days) + 0.8 + 0.0012 * days,
  })),
  dueWindow: { earliestOn: '2025-06-20', medianOn: '2026-03-10', latestOn: '2026-12-01' },
  recharges: [{ on: CHARGED_ON, label: 'charged to 56.5 bar' }],
  moves: [
    { on: '2022-03-08', label: 'to PTV-017 front left' },
    { on: '2024-06-15', label: 'to shelf, Northgate' },
    { on: '2024-08-20', label: 'to PTV-032 front right' },
  ],
};
const SVG = renderTrendPicture(PICTURE);

const circlesOf = (svg: string) =>
  elementsOf(svg)
    .filter(({ name }) => name === 'circle')
    .map(({ attributes: { cx, cy, fill } }) => ({ x: Number(cx), y: Number(cy), fill }));

/** Ends of the straight strokes: x1, y1, x2, y2. */
const strokesOf = (svg: string) =>
  elementsOf(svg).flatMap(({ attributes }) => {
    const ends = /^M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)$/.exec(attributes.d ?? '');
    return ends ? [{ attributes, ends: ends.slice(1).map(Number) as [number, number, number, number] }] : [];
  });

test('size, title and description, for those who cannot see it too', () => {
  const elements = elementsOf(SVG);
  expect(elements[0]).toMatchObject({
    name: 'svg',
    attributes: {
      width: '960',
      height: '420',
      viewBox: '0 0 960 420',
      role: 'img',
      'aria-labelledby': 'trend-title',
      'aria-describedby': 'trend-desc',
    },
  });
  const title = elements.find(({ name }) => name === 'title');
  expect(title).toMatchObject({ attributes: { id: 'trend-title' } });
  expect(title?.text).toBe('Gas unit TV-10442, type suspension front, 400 ml');
  const description = elements.find(({ name }) => name === 'desc')!.text;
  expect(description).toContain('Test 2023-10-21: 61.9 bar, left out.');
  expect(description).toContain('Moved 2024-06-15: to shelf, Northgate.');
  expect(description).toContain('Limit 44.0 bar.');
});

test('axes with units, lines labelled, days of the due window in words', () => {
  expect(textsOf(SVG)).toEqual(
    expect.arrayContaining([
      'precharge at 20 °C (bar gauge)',
      'date',
      'nominal 55.0 bar',
      'limit 44.0 bar',
      'due: earliest (10 %) 2025-06-20, median 2026-03-10, latest (90 %) 2026-12-01',
      'charged to 56.5 bar',
      'to PTV-017 front left',
      'to shelf, Northgate',
      'to PTV-032 front right',
      ...['test passed', 'test failed', 'inconclusive', 'left out', 'recharge'],
      ...['fitted', '10 % and 90 %', 'due window', 'moved'],
    ]),
  );
});

test('the key ends within the picture, with every mark in it', () => {
  const [x] = placeOf(SVG, 'moved');
  expect(x + textWidth('moved')).toBeLessThan(960);
});

test('everything is where the axes say', () => {
  // the scale as the axis labels show it
  const [, y60] = placeOf(SVG, '60');
  const [, y40] = placeOf(SVG, '40');
  const [x2023] = placeOf(SVG, '2023');
  const [x2027] = placeOf(SVG, '2027');
  const yOf = (bar: number) => y60 + ((60 - bar) / 20) * (y40 - y60);
  const xOf = (on: CalendarDate) =>
    x2023 +
    ((toEpochDay(on) - toEpochDay('2023-01-01')) / (toEpochDay('2027-01-01') - toEpochDay('2023-01-01'))) *
      (x2027 - x2023);

  const circles = circlesOf(SVG).slice(0, 3);
  const shown = PICTURE.tests.filter(({ mark }) => mark === 'passed' || mark === 'failed');
  circles.forEach(({ x, y, fill }, index) => {
    const { on, precharge20BarGauge, mark } = shown[index]!;
    expect(Math.abs(x - xOf(on))).toBeLessThan(0.2);
    expect(Math.abs(y - yOf(precharge20BarGauge))).toBeLessThan(0.2);
    expect(fill).toBe(mark === 'passed' ? '#000' : '#fff');
  });

  const curves = elementsOf(SVG).flatMap(({ attributes }) => {
    const points = [...(attributes.d ?? '').matchAll(/[ML]([\d.]+) ([\d.]+)/g)];
    return points.length === PICTURE.fit.length
      ? [{ dash: attributes['stroke-dasharray'], points: points.map((p) => [Number(p[1]), Number(p[2])]) }]
      : [];
  });
  expect(curves.map(({ dash }) => dash)).toEqual(['4,3', '4,3', undefined]);
  PICTURE.fit.forEach(({ on, low20BarGauge, high20BarGauge, median20BarGauge }, index) => {
    [low20BarGauge, high20BarGauge, median20BarGauge].forEach((bar, curve) => {
      const [x, y] = curves[curve]!.points[index]!;
      expect(Math.abs(x! - xOf(on))).toBeLessThan(0.2);
      expect(Math.abs(y! - yOf(bar))).toBeLessThan(0.2);
    });
  });

  const upright = strokesOf(SVG).filter(({ ends: [x1, , x2] }) => x1 === x2);
  const { earliestOn, medianOn, latestOn } = PICTURE.dueWindow!;
  for (const on of [earliestOn, medianOn!, latestOn!, ...PICTURE.moves.map((move) => move.on)])
    expect(upright.filter(({ ends: [x] }) => Math.abs(x - xOf(on)) < 0.2)).toHaveLength(1);
  const level = strokesOf(SVG).filter(
    ({ attributes, ends: [x1, y1, x2, y2] }) => y1 === y2 && x2 - x1 > 700 && attributes['stroke-dasharray'],
  );
  expect(level.map(({ ends: [, y] }) => Math.round(y))).toEqual([Math.round(yOf(55)), Math.round(yOf(44))]);

  // the hatch fills the window and nothing else of the plot
  const slanting = strokesOf(SVG).filter(
    ({ attributes, ends: [x1, y1, x2, y2] }) =>
      attributes.stroke === '#888' && x1 < x2 && y1 > y2 && y1 < 390,
  );
  expect(slanting.length).toBeGreaterThan(20);
  expect(Math.abs(Math.min(...slanting.map(({ ends }) => ends[0])) - xOf(earliestOn))).toBeLessThan(0.2);
  expect(Math.abs(Math.max(...slanting.map(({ ends }) => ends[2])) - xOf(latestOn!))).toBeLessThan(0.2);
});

test('black, white and grey only', () => {
  expect(coloursOf(SVG).filter((colour) => colour !== 'rgb(0,0,0)')).toEqual([]);
});

test('the same picture gives the same text, without the numbers of the drawing library', () => {
  expect(renderTrendPicture(PICTURE)).toBe(SVG);
  renderTrendPicture({ ...PICTURE, tests: [] });
  expect(renderTrendPicture(PICTURE)).toBe(SVG);
  expect(SVG).not.toMatch(/zr\d|ecmeta|<style/);
  const ids = elementsOf(SVG).flatMap(({ attributes }) => attributes.id ?? []);
  expect(new Set(ids).size).toBe(ids.length);
  for (const [, used] of SVG.matchAll(/url\(#([^)]*)\)/g)) expect(ids).toContain(used);
});

test.each([
  '<script>alert(1)</script>',
  `"onload='x' a="`,
  'A & B &amp; C',
  ']]></style><script>',
  '{b|bold} {a} zr0-c0 id="zr0-c0"',
  'a\u0000b\u0008c\ud800d\nnext',
  '–€😀',
])('words from outside do no harm: %j', (words) => {
  const svg = renderTrendPicture({
    ...PICTURE,
    serialNumber: words,
    unitType: words,
    recharges: [{ on: CHARGED_ON, label: words }],
    moves: [{ on: '2024-06-15', label: words }],
  });
  const elements = elementsOf(svg);
  expect(elements.map(({ name }) => name)).not.toContain('script');
  for (const { attributes } of elements) {
    expect(Object.keys(attributes).filter((name) => name.startsWith('on'))).toEqual([]);
  }
  expect(Array.from(svg).filter((character) => character < ' ' && character !== '\n')).toEqual([]);
  const shown = words.replace(/(?!\n)[\p{Cc}\p{Cs}]/gu, '\ufffd').replace('\n', ' ');
  expect(elements.find(({ name }) => name === 'title')!.text).toBe(`Gas unit ${shown}, type ${shown}`);
  const cut = Array.from(shown).length > 28 ? `${Array.from(shown).slice(0, 27).join('')}…` : shown;
  expect(textsOf(svg).filter((text) => text === cut)).toHaveLength(2);
});

test('a test far away that was left out does not flatten the rest: it is at the edge, with its figure', () => {
  const tests = [
    ...PICTURE.tests,
    { on: '2024-01-01', precharge20BarGauge: 551, mark: 'left-out' as const },
    { on: '2024-03-01', precharge20BarGauge: 5.5, mark: 'left-out' as const },
  ];
  const texts = textsOf(renderTrendPicture({ ...PICTURE, tests }));
  expect(texts).toEqual(expect.arrayContaining(['551.0 bar', '5.5 bar', '65', '35']));
  expect(texts).not.toContain('500');
});

test('a unit of which next to nothing is known', () => {
  const bare = { ...PICTURE, tests: [], fit: [], moves: [], recharges: [], dueWindow: null };
  expect(textsOf(renderTrendPicture(bare))).toContain('No precharge is recorded yet.');
  const oneTest = renderTrendPicture({ ...bare, tests: PICTURE.tests.slice(0, 1), nominal20BarGauge: null });
  expect(circlesOf(oneTest)).toHaveLength(2);
  expect(textsOf(oneTest)).not.toContain('fitted');
  const openWindow = { earliestOn: '2025-06-20', medianOn: null, latestOn: null };
  expect(textsOf(renderTrendPicture({ ...PICTURE, dueWindow: openWindow }))).toContain(
    'due: earliest (10 %) 2025-06-20, median beyond the forecast, latest (90 %) beyond the forecast',
  );
});

test.each([
  [[43.6, 44, 55, 61.9], 40, 65, 5],
  [[25, 31], 24, 32, 2],
  [[50], 46, 53, 1],
  [[54.5, 55, 55.1], 50, 58, 2],
  [[0.2, 170], 0, 200, 50],
])('round figures for the pressures %j: %d to %d in steps of %d', (values, min, max, interval) => {
  const axis = pressureAxis(values);
  expect(axis.min).toBeLessThanOrEqual(Math.min(...values));
  expect(axis.max).toBeGreaterThanOrEqual(Math.max(...values));
  expect(axis.min).toBeCloseTo(min, 9);
  expect(axis.max).toBeCloseTo(max, 9);
  expect(axis.interval).toBeCloseTo(interval, 9);
});

test.each([
  [['2026-03-01'], '2026-03-01', false],
  [['2022-03-01', '2027-09-01'], '2023-01-01', true],
  [['2025-11-20', '2026-04-02'], '2025-12-01', false],
  [['1985-01-01', '2040-01-01'], '1990-01-01', true],
])('at most ten ticks, on the first of a month: %j', (dates, tick, yearsOnly) => {
  const axis = timeAxis(dates);
  expect(axis.ticks.length).toBeGreaterThan(0);
  expect(axis.ticks.length).toBeLessThanOrEqual(10);
  expect(axis.ticks).toContain(toEpochDay(tick) * 86_400_000);
  expect(axis.yearsOnly).toBe(yearsOnly);
});

test('labels never overlap, nor does a line cross a label', () => {
  let crowded = 0;
  for (let step = 1; step <= 60; step++) {
    const labels = Array.from({ length: 9 }, (_, i) => ({
      x: 70 + ((i * step * 37) % 760),
      text: 'to PTV-017 front left'.slice(0, 6 + ((i * 5) % 16)),
    }));
    const placed = placeInRows(labels, 4, 1, [8, 952]);
    const labelled = placed.filter(({ row }) => row !== null);
    crowded += placed.length - labelled.length;
    for (const a of labelled) {
      const right = a.left + textWidth(a.text);
      expect(a.left).toBeGreaterThanOrEqual(8);
      expect(right).toBeLessThanOrEqual(952);
      for (const b of placed) {
        if (a === b) continue;
        const sameRow = b.row === a.row && a.left < b.left + textWidth(b.text) && b.left < right;
        // a line reaches from the plot up to the row of its own label
        const crossed = (b.row ?? 0) >= a.row! && b.row !== null && a.left < b.x && b.x < right;
        expect([sameRow, crossed]).toEqual([false, false]);
      }
    }
  }
  // nine at once, often close together: four in five find room
  expect(crowded).toBeLessThan((60 * 9) / 5);
});
