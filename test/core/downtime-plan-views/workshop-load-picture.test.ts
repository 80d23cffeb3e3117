import { addDays } from '../../../src/core/shared/calendar-date';
import { roundAxis } from '../../../src/platform/pictures/round-axis';
import type { WorkshopLoad, WorkshopWeek } from '../../../src/modules/downtime-plans/plan-views';
import { workshopLoadPicture } from '../../../src/modules/downtime-plans/workshop-load-picture';
import { coloursOf, elementsOf, outlinesOf, placeOf, textsOf } from '../../support/svg-elements';

// free, booked and planned hours; weeks 52 and 53 of 2026 and the first of 2027, by ISO 8601
const HOURS = [
  [60, 20, 24.5],
  [0, 0, 0],
  [70, 0, 0],
  [50, 30, 50.3],
  [50, 30, 49.9],
];
const WEEKS = HOURS.map(([free, booked, planned], index) => ({
  weekOn: addDays('2026-12-21', 7 * index),
  freeMinutes: free! * 60,
  bookedMinutes: booked! * 60,
  plannedMinutes: planned! * 60,
}));
const load = (weeks: WorkshopWeek[]): WorkshopLoad => ({
  workshopId: '0198a000-0000-7000-8000-00000000000b',
  name: 'Harrow Ford',
  weeks,
});
const KEY = 'workshop-load-0198a000-0000-7000-8000-00000000000b';
let svg: string;
beforeAll(async () => {
  svg = await workshopLoadPicture(load(WEEKS));
});

test('title and description, for those who cannot see it too', () => {
  const elements = elementsOf(svg);
  expect(elements[0]!.attributes).toMatchObject({
    width: '960',
    height: '420',
    role: 'img',
    'aria-labelledby': `${KEY}-title`,
    'aria-describedby': `${KEY}-desc`,
  });
  expect(elements.find(({ name }) => name === 'title')!.text).toBe(
    'Harrow Ford: hours of the bays by week, 2026-12-21 to 2027-01-24',
  );
  expect(elements.find(({ name }) => name === 'desc')!.text).toBe(
    '80.0 h booked and 124.7 h planned of 310.0 h that the bays are open. ' +
      'Above each week: the share that is taken. ' +
      '2026-W52: 20.0 h booked, 24.5 h planned, 80.0 h open, 56 %. ' +
      '2026-W53: 0.0 h booked, 0.0 h planned, 0.0 h open, closed. ' +
      '2027-W01: 0.0 h booked, 0.0 h planned, 70.0 h open, 0 %. ' +
      '2027-W02: 30.0 h booked, 50.3 h planned, 80.0 h open, 101 %. ' +
      '2027-W03: 30.0 h booked, 49.9 h planned, 80.0 h open, 99 %.',
  );
});

test('axes with units, a key, and the share of each week', () => {
  expect(textsOf(svg)).toEqual(
    expect.arrayContaining([
      'hours',
      'ISO week and its Monday',
      ...['W52', '21 Dec', 'W53', '28 Dec', 'W01', '4 Jan', 'W02', '11 Jan', 'W03', '18 Jan'],
      ...['booked already', 'planned', 'hours that the bays are open'],
      ...['56 %', 'closed', '0 %', '101 %', '99 %'],
    ]),
  );
});

test('everything is where the axes say', () => {
  const [, y0] = placeOf(svg, '0');
  const [, y40] = placeOf(svg, '40');
  const yOf = (hours: number) => y0 + (hours / 40) * (y40 - y0);
  const [x52] = placeOf(svg, 'W52');
  const [x03] = placeOf(svg, 'W03');
  const width = (x03 - x52) / 4;
  const inPlot = outlinesOf(svg).filter(({ points }) => Math.max(...points.map(([, y]) => y)) < y0 + 1);
  const barsOf = (fill: string) =>
    inPlot.filter(({ name, attributes }) => name === 'polygon' && attributes.fill === fill);
  const expectBar = ({ points }: { points: [number, number][] }, index: number, from: number, to: number) => {
    const xs = points.map(([x]) => x);
    const ys = points.map(([, y]) => y);
    const centre = x52 + index * width;
    expect(Math.abs((Math.min(...xs) + Math.max(...xs)) / 2 - centre)).toBeLessThan(0.2);
    expect(Math.max(...xs) - Math.min(...xs)).toBeLessThan(width);
    expect(Math.abs(Math.max(...ys) - yOf(from))).toBeLessThan(0.2);
    expect(Math.abs(Math.min(...ys) - yOf(to))).toBeLessThan(0.2);
  };
  const booked = barsOf('#c8c8c8');
  expect(booked).toHaveLength(3);
  [0, 3, 4].forEach((index, at) => expectBar(booked[at]!, index, 0, HOURS[index]![1]!));
  const planned = barsOf('#fff');
  expect(planned).toHaveLength(3);
  [0, 3, 4].forEach((index, at) => {
    const [, from, more] = HOURS[index]!;
    expectBar(planned[at]!, index, from!, from! + more!);
  });
  const open = inPlot.filter(({ name }) => name === 'polyline');
  expect(open).toHaveLength(1);
  open[0]!.points.forEach(([x, y], corner) => {
    const index = Math.floor(corner / 2);
    const [free, taken] = HOURS[index]!;
    expect(Math.abs(y - yOf(free! + taken!))).toBeLessThan(0.2);
    expect(Math.abs(x - (x52 + (index + (corner % 2) - 0.5) * width))).toBeLessThan(0.2);
  });
  expect(open[0]!.points).toHaveLength(10);
});

test('planned hours are hatched, in black on white, in every bar and in the key', () => {
  expect(coloursOf(svg).filter((colour) => colour !== 'rgb(0,0,0)')).toEqual([]);
  const elements = elementsOf(svg);
  const hatched = elements.filter(({ attributes }) => attributes.fill === `url(#${KEY}-p0)`);
  expect(hatched).toHaveLength(4);
  const patterns = elements.filter(({ name }) => name === 'pattern');
  expect(patterns.map(({ attributes }) => attributes)).toEqual([
    expect.objectContaining({ id: `${KEY}-p0`, height: '6', patternTransform: 'rotate(-45)' }),
  ]);
  expect(svg).not.toMatch(/zr\d|ecmeta|<style/);
});

test('the same load gives the same text', async () => {
  await workshopLoadPicture(load([]));
  expect(await workshopLoadPicture(load(WEEKS))).toBe(svg);
});

test('work in a week in which no bay is open is over, not closed', async () => {
  const week = { weekOn: '2026-12-28', freeMinutes: 0, bookedMinutes: 0, plannedMinutes: 60 };
  expect(textsOf(await workshopLoadPicture(load([week])))).toContain('over');
});

test('a year is wide enough for its labels; no weeks are said to be none', async () => {
  const year = Array.from({ length: 53 }, (_, index) => ({
    ...WEEKS[0]!,
    weekOn: addDays('2026-01-05', 7 * index),
  }));
  const wide = await workshopLoadPicture(load(year));
  expect(Number(elementsOf(wide)[0]!.attributes.width)).toBe(66 + 53 * 44 + 24);
  expect(textsOf(wide).filter((text) => /^W\d\d$/.test(text))).toHaveLength(53);
  expect(textsOf(await workshopLoadPicture(load([])))).toEqual([
    'Harrow Ford: hours of the bays by week',
    'The plan has no weeks.',
  ]);
});

test.each([
  [0, 0, 0, 1, 1],
  [0, 5, 0, 5, 1],
  [0, 14, 0, 15, 5],
  [0, 80.3, 0, 100, 20],
  [373, 400, 370, 400, 5],
  [0, 6_001, 0, 8_000, 2_000],
])('round figures from %d to %d: %d to %d in steps of %d', (from, to, min, max, interval) => {
  expect(roundAxis(from, to)).toEqual({ min, max, interval });
});
