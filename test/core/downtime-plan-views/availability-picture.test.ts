import { addDays, isoWeekday } from '../../../src/core/shared/calendar-date';
import { availabilityPicture } from '../../../src/modules/downtime-plans/availability-picture';
import type { AvailabilityDay, DepotAvailability } from '../../../src/modules/downtime-plans/plan-views';
import { coloursOf, elementsOf, outlinesOf, placeOf, textsOf } from '../../support/svg-elements';

const FROM = '2026-08-03';

const day = (index: number, change: Partial<AvailabilityDay> = {}): AvailabilityDay => {
  const on = addDays(FROM, index);
  return {
    on,
    vehicles: 14,
    neededOnRoad: isoWeekday(on) < 6 ? 12 : 7,
    offRoadBefore: 0,
    offRoadAfter: 0,
    ...change,
  };
};
const depot = (days: AvailabilityDay[], name = 'Upper Weir'): DepotAvailability => ({
  depotId: '0198a000-0000-7000-8000-00000000000a',
  name,
  days,
});
const daysOf = (count: number, changes: Record<number, Partial<AvailabilityDay>> = {}) =>
  Array.from({ length: count }, (_, index) => day(index, changes[index]));

// the second Monday is short already, its Tuesday and Wednesday are with the plan, Friday is too, by more
const DAYS = daysOf(28, {
  1: { offRoadBefore: 1, offRoadAfter: 2 },
  7: { offRoadBefore: 3, offRoadAfter: 3 },
  8: { offRoadBefore: 1, offRoadAfter: 3 },
  9: { offRoadBefore: 0, offRoadAfter: 3 },
  18: { offRoadBefore: 2, offRoadAfter: 5 },
  26: { offRoadBefore: 2, offRoadAfter: 4 },
});
const KEY = 'availability-0198a000-0000-7000-8000-00000000000a';
let svg: string;
beforeAll(async () => {
  svg = await availabilityPicture(depot(DAYS));
});

test('size, title and description, for those who cannot see it too', () => {
  const elements = elementsOf(svg);
  expect(elements[0]).toMatchObject({
    name: 'svg',
    attributes: {
      width: '960',
      height: '420',
      viewBox: '0 0 960 420',
      role: 'img',
      'aria-labelledby': `${KEY}-title`,
      'aria-describedby': `${KEY}-desc`,
    },
  });
  expect(elements.find(({ name }) => name === 'title')).toMatchObject({
    attributes: { id: `${KEY}-title` },
    text: 'Upper Weir: vehicles on the road, 2026-08-03 to 2026-08-30',
  });
  const description = elements.find(({ name }) => name === 'desc')!.text;
  expect(description).toContain(
    'On 4 of 28 days fewer than the roster needs: on 1 as booked already, on 3 with the plan.',
  );
  expect(description).toContain('2026-08-04: 13 as booked, 12 with the plan, 12 needed. 2026-08-05:');
  expect(description).toContain('2026-08-10: 11 as booked, 11 with the plan, 12 needed, 1 short.');
  expect(description).toContain('2026-08-21: 12 as booked, 9 with the plan, 12 needed, 3 short.');
  expect(description.match(/needed/g)).toHaveLength(28);
});

test('axes with units, a key, and in words on how many days and by how many vehicles it is short', () => {
  const texts = textsOf(svg);
  expect(texts).toEqual(
    expect.arrayContaining([
      'vehicles on the road',
      'day',
      ...['3 Aug', '10 Aug', '17 Aug', '24 Aug'],
      ...['as booked', 'with the plan', 'roster need', 'missing'],
      ...['short with the plan', 'short as booked already'],
      'On 4 of 28 days fewer than the roster needs: on 1 as booked already, on 3 with the plan.',
    ]),
  );
  expect(texts).not.toContain('4 Aug');
  expect(texts.filter((text) => / short$/.test(text))).toEqual(['1 short', '3 short']);
});

test('everything is where the axes say', () => {
  const [, y0] = placeOf(svg, '0');
  const [, y10] = placeOf(svg, '10');
  const yOf = (vehicles: number) => y0 + (vehicles / 10) * (y10 - y0);
  const [firstMonday] = placeOf(svg, '3 Aug');
  const [lastMonday] = placeOf(svg, '24 Aug');
  const width = (lastMonday - firstMonday) / 21;
  const left = (index: number) => firstMonday + (index - 0.5) * width;
  const corners = (values: number[]) =>
    values.flatMap((value, index) => [
      [left(index), yOf(value)],
      [left(index + 1), yOf(value)],
    ]);
  const expectNear = (points: [number, number][], expected: number[][]) => {
    expect(points).toHaveLength(expected.length);
    points.forEach(([x, y], index) => {
      expect(Math.abs(x - expected[index]![0]!)).toBeLessThan(0.2);
      expect(Math.abs(y - expected[index]![1]!)).toBeLessThan(0.2);
    });
  };
  const outlines = outlinesOf(svg).filter(({ points }) => Math.max(...points.map(([, y]) => y)) < y0 + 1);
  const afterPlan = outlines.find(({ attributes }) => attributes.fill === '#c8c8c8')!;
  expectNear(afterPlan.points, [
    [left(0), y0],
    ...corners(DAYS.map(({ vehicles, offRoadAfter }) => vehicles - offRoadAfter)),
    [left(28), y0],
  ]);
  const lines = outlines.filter(({ name }) => name === 'polyline');
  expect(lines.map(({ attributes }) => attributes['stroke-dasharray'])).toEqual([undefined, '6,3']);
  expectNear(lines[0]!.points, corners(DAYS.map(({ vehicles, offRoadBefore }) => vehicles - offRoadBefore)));
  expectNear(lines[1]!.points, corners(DAYS.map(({ neededOnRoad }) => neededOnRoad)));

  // what is missing is black from what there is to what is needed, and on no other day
  const missing = outlines.filter(
    ({ attributes, points }) => attributes.fill === '#000' && points.length === 4,
  );
  expect(missing).toHaveLength(4);
  [7, 8, 9, 18].forEach((index, at) => {
    const onRoad = yOf(14 - DAYS[index]!.offRoadAfter);
    expectNear(missing[at]!.points, [
      [left(index), onRoad],
      [left(index + 1), onRoad],
      [left(index + 1), yOf(12)],
      [left(index), yOf(12)],
    ]);
  });

  // a mark above each such day: hollow where the plan is not to blame
  const marks = outlines.filter(({ points }) => points.length === 3);
  expect(marks.map(({ attributes }) => attributes.fill)).toEqual(['#fff', '#000', '#000', '#000']);
  [7, 8, 9, 18].forEach((index, at) => {
    expect(Math.abs(marks[at]!.points[2]![0] - left(index + 0.5))).toBeLessThan(0.2);
  });
  expect(Math.abs(placeOf(svg, '1 short')[0] - left(8.5))).toBeLessThan(0.2);
  expect(Math.abs(placeOf(svg, '3 short')[0] - left(18.5))).toBeLessThan(0.2);
});

test('black, white and grey only, and ids that are used are there', () => {
  expect(coloursOf(svg).filter((colour) => colour !== 'rgb(0,0,0)')).toEqual([]);
  expect(svg).not.toMatch(/zr\d|ecmeta|<style/);
  const ids = elementsOf(svg).flatMap(({ attributes }) => attributes.id ?? []);
  expect(new Set(ids).size).toBe(ids.length);
});

test('the same plan gives the same text, and needs nothing from elsewhere', async () => {
  await availabilityPicture(depot(daysOf(90)));
  expect(await availabilityPicture(depot(DAYS))).toBe(svg);
  expect(svg.replace(/ xmlns(:xlink)?="[^"]*"/g, '')).not.toMatch(/https?:|href=|@import/);
});

test('enough on every day: it says so, without a mark', async () => {
  const enough = await availabilityPicture(depot(daysOf(14)));
  expect(textsOf(enough)).toContain('On all 14 days as many as the roster needs, or more.');
  expect(textsOf(enough).filter((text) => / short$/.test(text))).toEqual([]);
  // the two in the key
  expect(outlinesOf(enough).filter(({ points }) => points.length === 3)).toHaveLength(2);
});

test('days in a row that are short by different numbers share their words', async () => {
  const texts = textsOf(
    await availabilityPicture(
      depot(daysOf(28, { 1: { offRoadAfter: 4 }, 2: { offRoadAfter: 3 }, 3: { offRoadAfter: 6 } })),
    ),
  );
  expect(texts.filter((text) => / short$/.test(text))).toEqual(['1 to 4 short']);
});

test('every other day short over a year: words do not run into each other, every day has its mark', async () => {
  const days = Array.from({ length: 366 }, (_, index) =>
    day(index, { offRoadAfter: index % 2 === 0 ? 9 : 0 }),
  );
  const crowded = await availabilityPicture(depot(days));
  expect(Number(elementsOf(crowded)[0]!.attributes.width)).toBe(66 + 366 * 6 + 24);
  const labels = elementsOf(crowded).filter(({ name, text }) => name === 'text' && / short$/.test(text));
  expect(labels.length).toBeGreaterThan(20);
  const places = labels.map(({ attributes, text }) => ({
    x: Number(/translate\(([\d.]+)/.exec(attributes.transform!)![1]),
    halfWidth: (text.length * 0.62 * 11) / 2,
  }));
  places.slice(1).forEach(({ x, halfWidth }, index) => {
    expect(x - halfWidth).toBeGreaterThanOrEqual(places[index]!.x + places[index]!.halfWidth);
  });
  const marks = outlinesOf(crowded).filter(({ points }) => points.length === 3);
  expect(marks).toHaveLength(2 + days.filter((each) => 14 - each.offRoadAfter < each.neededOnRoad).length);
});

test('of a large depot the part that matters, and the axis says that it does not begin at nought', async () => {
  const days = daysOf(28).map((each, index) => ({
    ...each,
    vehicles: 400,
    neededOnRoad: 380,
    offRoadAfter: index % 7,
  }));
  const large = textsOf(await availabilityPicture(depot(days)));
  expect(large).toContain('vehicles on the road (from 370 up)');
  expect(large).toEqual(expect.arrayContaining(['370', '375', '400']));
  expect(large).not.toContain('0');
  // half of them stand still at the weekend: then the whole scale is shown
  const weekend = days.map((each, index) => (index % 7 > 4 ? { ...each, neededOnRoad: 100 } : each));
  expect(textsOf(await availabilityPicture(depot(weekend)))).toEqual(
    expect.arrayContaining(['vehicles on the road', '0', '400']),
  );
});

test.each([
  '<script>alert(1)</script>',
  `"onload='x' a="`,
  'A & B &amp; C',
  ']]></style><script>',
  '{b|bold} {a} zr0-c0 id="zr0-c0"',
  'a\u0000b\u0008c\ud800d\u007fe\nnext',
  'Straße am Öhr – 😀',
])('words from outside do no harm: %j', async (words) => {
  const elements = elementsOf(await availabilityPicture(depot(DAYS, words)));
  expect(elements.map(({ name }) => name)).not.toContain('script');
  for (const { attributes } of elements)
    expect(Object.keys(attributes).filter((name) => name.startsWith('on'))).toEqual([]);
  const shown = words.replace(/(?!\n)[\p{Cc}\p{Cs}]/gu, '\ufffd').replace('\n', ' ');
  expect(elements.find(({ name }) => name === 'title')!.text).toBe(
    `${shown}: vehicles on the road, 2026-08-03 to 2026-08-30`,
  );
});

test('a plan of few days, and one of none', async () => {
  const few = textsOf(await availabilityPicture(depot(daysOf(3))));
  expect(few).toEqual(expect.arrayContaining(['3 Aug', '4 Aug', '5 Aug']));
  const none = await availabilityPicture(depot([]));
  expect(textsOf(none)).toEqual(['Upper Weir: vehicles on the road', 'The plan has no days.']);
});
