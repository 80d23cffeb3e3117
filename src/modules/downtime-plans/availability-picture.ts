import { isoWeekday } from '../../core/shared/calendar-date';
import type { KeyEntry } from '../../platform/pictures/key-row';
import { plainText } from '../../platform/pictures/plain-text';
import { roundAxis, type RoundAxis } from '../../platform/pictures/round-axis';
import {
  INK,
  PAPER,
  polygon,
  polyline,
  rectangle,
  text,
  textWidth,
  type Point,
  type Shape,
} from '../../platform/pictures/shapes';
import type { Picture } from './draw-picture';
import { shortDay, steps } from './picture-axis';
import { downMark, GREY } from './picture-shapes';
import type { AvailabilityDay, DepotAvailability } from './plan-views';

/**
 * Draws how many vehicles of a depot are on the road on each day, as booked already and with the plan, against what
 * the roster needs. A day on which they are too few has a mark and a figure above it and is black where vehicles are
 * missing. The drawing library is loaded by the first picture.
 */
export async function availabilityPicture(depot: DepotAvailability): Promise<string> {
  const { drawPicture } = await import('./draw-picture');
  return drawPicture(pictureOf(depot));
}

const COUNTS_FROM_NOUGHT = 40;
const LABEL_ROOM = 46;

const before = ({ vehicles, offRoadBefore }: AvailabilityDay): number => vehicles - offRoadBefore;
const after = ({ vehicles, offRoadAfter }: AvailabilityDay): number => vehicles - offRoadAfter;
const short = (day: AvailabilityDay): number => Math.max(0, day.neededOnRoad - after(day));
const isShortAsBooked = (day: AvailabilityDay): boolean => before(day) < day.neededOnRoad;

function pictureOf({ depotId, name, days }: DepotAvailability): Picture {
  const scale = scaleOf(days);
  const [first, last] = [days[0], days.at(-1)];
  const dates = first === undefined || last === undefined ? '' : `, ${first.on} to ${last.on}`;
  return {
    key: `availability-${depotId}`,
    title: `${plainText(name, 60)}: vehicles on the road${dates}`,
    summary: summaryOf(days),
    description: describe(days),
    columns: days.length,
    narrowestColumn: 6,
    columnsName: 'day',
    columnLabels: (columnWidth) => labelsOf(days, columnWidth),
    scale,
    scaleName: scale.min === 0 ? 'vehicles on the road' : `vehicles on the road (from ${scale.min} up)`,
    shapes: (place) => shapesOf(days, scale, place),
    legend: LEGEND,
  };
}

// Of a small depot all vehicles are shown; of a large one the part where something differs, or nobody would see one
// vehicle more or less.
function scaleOf(days: readonly AvailabilityDay[]): RoundAxis {
  const counts = days.flatMap((day) => [before(day), after(day), day.neededOnRoad]);
  const highest = Math.max(0, ...counts);
  const lowest = Math.min(highest, ...counts);
  const room = 0.25 * Math.max(highest - lowest, 0.1 * highest);
  const from = highest > COUNTS_FROM_NOUGHT && lowest - room > 0.3 * highest ? lowest - room : 0;
  return roundAxis(from, highest);
}

function summaryOf(days: readonly AvailabilityDay[]): string {
  if (days.length === 0) return 'The plan has no days.';
  const shortDays = days.filter((day) => short(day) > 0);
  if (shortDays.length === 0) return `On all ${days.length} days as many as the roster needs, or more.`;
  const asBooked = shortDays.filter(isShortAsBooked).length;
  return (
    `On ${shortDays.length} of ${days.length} days fewer than the roster needs: ` +
    `on ${asBooked} as booked already, on ${shortDays.length - asBooked} with the plan.`
  );
}

function describe(days: readonly AvailabilityDay[]): string {
  const sentences = days.map((day) => {
    const missing = short(day) === 0 ? '' : `, ${short(day)} short`;
    return `${day.on}: ${before(day)} as booked, ${after(day)} with the plan, ${day.neededOnRoad} needed${missing}.`;
  });
  return [summaryOf(days), ...sentences].join(' ');
}

function labelsOf(days: readonly AvailabilityDay[], columnWidth: number): Map<number, string> {
  const labelled = [...days.entries()].filter(
    ([, { on }]) => columnWidth >= LABEL_ROOM || isoWeekday(on) === 1,
  );
  return new Map(labelled.map(([column, { on }]) => [column, shortDay(on)]));
}

function shapesOf(
  days: readonly AvailabilityDay[],
  scale: RoundAxis,
  place: (column: number, value: number) => Point,
): Shape[] {
  const stepped = (values: readonly number[]): Point[] =>
    steps(values).map(([column, value]) => place(column, value));
  const onRoad = days.map(after);
  return [
    polygon([place(0, scale.min), ...stepped(onRoad), place(days.length, scale.min)], { fill: GREY }),
    polyline(stepped(days.map(before)), {}),
    ...days.flatMap((day, column) =>
      short(day) === 0
        ? []
        : [rectangle(place(column, after(day)), place(column + 1, day.neededOnRoad), { fill: INK })],
    ),
    polyline(stepped(days.map(({ neededOnRoad }) => neededOnRoad)), NEED),
    ...shortMarks(days, scale, place),
  ];
}

function shortMarks(
  days: readonly AvailabilityDay[],
  scale: RoundAxis,
  place: (column: number, value: number) => Point,
): Shape[] {
  let labelledUntil = -Infinity;
  return shortSpells(days).flatMap(({ from, spell }) => {
    const centreOf = (column: number): Point => place(column + 0.5, scale.max);
    const marks = spell.map((day, index) => {
      const [x, top] = centreOf(from + index);
      return downMark(x, top - 8, isShortAsBooked(day) ? PAPER : INK);
    });
    const words = shortWords(spell);
    const [x, top] = centreOf(from + (spell.length - 1) / 2);
    // one that would run into the last goes without; its days are in the description
    if (x - textWidth(words) / 2 < labelledUntil) return marks;
    labelledUntil = x + textWidth(words) / 2 + 4;
    return [...marks, text(x, top - 21, words, 'center')];
  });
}

/** Days below the need that follow each other. */
function shortSpells(days: readonly AvailabilityDay[]): { from: number; spell: AvailabilityDay[] }[] {
  const spells: { from: number; spell: AvailabilityDay[] }[] = [];
  for (const [column, day] of days.entries()) {
    if (short(day) === 0) continue;
    const last = spells.at(-1);
    if (last !== undefined && last.from + last.spell.length === column) last.spell.push(day);
    else spells.push({ from: column, spell: [day] });
  }
  return spells;
}

function shortWords(spell: readonly AvailabilityDay[]): string {
  const missing = spell.map(short);
  const [least, most] = [Math.min(...missing), Math.max(...missing)];
  return least === most ? `${most} short` : `${least} to ${most} short`;
}

const NEED = { lineWidth: 2.5, lineDash: [6, 3] };

const LEGEND: readonly KeyEntry[] = [
  {
    words: 'as booked',
    symbolWidth: 20,
    symbol: (x, y) => [
      polyline(
        [
          [x, y + 5],
          [x, y - 4],
          [x + 20, y - 4],
          [x + 20, y + 5],
        ],
        {},
      ),
    ],
  },
  {
    words: 'with the plan',
    symbolWidth: 20,
    symbol: (x, y) => [rectangle([x, y - 5], [x + 20, y + 5], { fill: GREY })],
  },
  {
    words: 'roster need',
    symbolWidth: 24,
    symbol: (x, y) => [
      polyline(
        [
          [x, y],
          [x + 24, y],
        ],
        NEED,
      ),
    ],
  },
  {
    words: 'missing',
    symbolWidth: 10,
    symbol: (x, y) => [rectangle([x, y - 5], [x + 10, y + 5], { fill: INK })],
  },
  { words: 'short with the plan', symbolWidth: 10, symbol: (x, y) => [downMark(x + 5, y, INK)] },
  { words: 'short as booked already', symbolWidth: 10, symbol: (x, y) => [downMark(x + 5, y, PAPER)] },
];
