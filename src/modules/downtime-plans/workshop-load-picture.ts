import { addDays } from '../../core/shared/calendar-date';
import { isoWeek } from '../../core/shared/iso-week';
import type { KeyEntry } from '../../platform/pictures/key-row';
import { plainText } from '../../platform/pictures/plain-text';
import { roundAxis, type RoundAxis } from '../../platform/pictures/round-axis';
import { INK, polyline, rectangle, text, type Point, type Shape } from '../../platform/pictures/shapes';
import type { Picture } from './draw-picture';
import { shortDay, steps } from './picture-axis';
import { GREY, HATCHED } from './picture-shapes';
import type { WorkshopLoad, WorkshopWeek } from './plan-views';

/**
 * Draws the hours of a workshop's bays by ISO week: booked already and planned on top of it, against the hours that
 * the bays are open. The drawing library is loaded by the first picture.
 */
export async function workshopLoadPicture(load: WorkshopLoad): Promise<string> {
  const { drawPicture } = await import('./draw-picture');
  return drawPicture(pictureOf(load));
}

const openMinutes = ({ freeMinutes, bookedMinutes }: WorkshopWeek): number => freeMinutes + bookedMinutes;
const takenMinutes = ({ bookedMinutes, plannedMinutes }: WorkshopWeek): number =>
  bookedMinutes + plannedMinutes;
const hours = (minutes: number): string => `${(minutes / 60).toFixed(1)} h`;

function pictureOf({ workshopId, name, weeks }: WorkshopLoad): Picture {
  const scale = roundAxis(
    0,
    Math.max(0, ...weeks.map((week) => Math.max(openMinutes(week), takenMinutes(week)) / 60)),
  );
  const [first, last] = [weeks[0], weeks.at(-1)];
  const dates =
    first === undefined || last === undefined ? '' : `, ${first.weekOn} to ${addDays(last.weekOn, 6)}`;
  return {
    key: `workshop-load-${workshopId}`,
    title: `${plainText(name, 60)}: hours of the bays by week${dates}`,
    summary: summaryOf(weeks),
    description: describe(weeks),
    columns: weeks.length,
    narrowestColumn: 44,
    columnsName: 'ISO week and its Monday',
    columnLabels: () => new Map(weeks.map(({ weekOn }, column) => [column, weekLabel(weekOn)])),
    scale,
    scaleName: 'hours',
    shapes: (place) => shapesOf(weeks, scale, place),
    legend: LEGEND,
  };
}

function weekLabel(weekOn: string): string {
  return `W${String(isoWeek(weekOn).week).padStart(2, '0')}\n${shortDay(weekOn)}`;
}

function summaryOf(weeks: readonly WorkshopWeek[]): string {
  if (weeks.length === 0) return 'The plan has no weeks.';
  const sum = (of: (week: WorkshopWeek) => number): string =>
    hours(weeks.reduce((minutes, week) => minutes + of(week), 0));
  const booked = sum(({ bookedMinutes }) => bookedMinutes);
  const planned = sum(({ plannedMinutes }) => plannedMinutes);
  return `${booked} booked and ${planned} planned of ${sum(openMinutes)} that the bays are open. Above each week: the share that is taken.`;
}

function describe(weeks: readonly WorkshopWeek[]): string {
  const sentences = weeks.map((week) => {
    const { year, week: number } = isoWeek(week.weekOn);
    return (
      `${year}-W${String(number).padStart(2, '0')}: ${hours(week.bookedMinutes)} booked, ` +
      `${hours(week.plannedMinutes)} planned, ${hours(openMinutes(week))} open, ${shareWords(week)}.`
    );
  });
  return [summaryOf(weeks), ...sentences].join(' ');
}

function shareWords(week: WorkshopWeek): string {
  const [open, taken] = [openMinutes(week), takenMinutes(week)];
  if (open === 0) return taken === 0 ? 'closed' : 'over';
  const percent = (100 * taken) / open;
  // too much must not read as just enough, nor what is left as nothing
  return `${taken > open ? Math.ceil(percent) : Math.min(Math.round(percent), taken < open ? 99 : 100)} %`;
}

function shapesOf(
  weeks: readonly WorkshopWeek[],
  scale: RoundAxis,
  place: (column: number, value: number) => Point,
): Shape[] {
  const bars = weeks.flatMap((week, column) => {
    const bar = (fromMinutes: number, toMinutes: number, style: typeof BOOKED): Shape[] =>
      fromMinutes === toMinutes
        ? []
        : [rectangle(place(column + 0.2, fromMinutes / 60), place(column + 0.8, toMinutes / 60), style)];
    return [...bar(0, week.bookedMinutes, BOOKED), ...bar(week.bookedMinutes, takenMinutes(week), HATCHED)];
  });
  const shares = weeks.map((week, column) => {
    const [x, top] = place(column + 0.5, scale.max);
    return text(x, top - 9, shareWords(week), 'center');
  });
  const open = steps(weeks.map((week) => openMinutes(week) / 60));
  return [
    ...bars,
    polyline(
      open.map(([column, value]) => place(column, value)),
      OPEN,
    ),
    ...shares,
  ];
}

const BOOKED: typeof HATCHED = { fill: GREY, stroke: INK, lineWidth: 1 };
const OPEN = { lineWidth: 2.5 };

const LEGEND: readonly KeyEntry[] = [
  {
    words: 'booked already',
    symbolWidth: 20,
    symbol: (x, y) => [rectangle([x, y - 6], [x + 20, y + 6], BOOKED)],
  },
  {
    words: 'planned',
    symbolWidth: 20,
    symbol: (x, y) => [rectangle([x, y - 6], [x + 20, y + 6], HATCHED)],
  },
  {
    words: 'hours that the bays are open',
    symbolWidth: 24,
    symbol: (x, y) => [
      polyline(
        [
          [x, y],
          [x + 24, y],
        ],
        OPEN,
      ),
    ],
  },
];
