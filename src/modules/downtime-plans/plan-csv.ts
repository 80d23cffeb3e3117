import { inUnits } from '../../core/shared/money';
import { writeCsv } from '../../platform/csv/write-csv';
import type { ListedVisit } from './plan-views';

type Item = ListedVisit['items'][number];

const VISIT_COLUMNS: readonly (readonly [string, (visit: ListedVisit) => string | number | null])[] = [
  ['visitId', ({ id }) => id],
  ['registrationMark', ({ vehicle }) => vehicle],
  ['fleetNumber', ({ fleetNumber }) => fleetNumber],
  ['depot', ({ depot }) => depot],
  ['workshop', ({ workshop }) => workshop],
  ['zone', ({ zone }) => zone],
  ['on', ({ on }) => on],
  ['untilOn', ({ untilOn }) => untilOn],
  ['visitMinutes', ({ minutes }) => minutes],
  ['visitCost', ({ costMinor }) => inUnits(costMinor)],
  ['locked', ({ isLocked }) => (isLocked ? 'yes' : 'no')],
  ['bookingId', ({ bookingId }) => bookingId],
];

const ITEM_COLUMNS: readonly (readonly [string, (item: Item) => string | number | null])[] = [
  ['task', ({ task }) => task],
  ['title', ({ title }) => title],
  ['position', ({ position }) => position],
  ['dueOn', ({ dueOn }) => dueOn],
  ['plannedOn', ({ plannedOn }) => plannedOn],
  ['itemMinutes', ({ minutes }) => minutes],
];

/**
 * A plan as CSV by RFC 4180 with a header: a line for each item, what belongs to its visit repeated on each, and one
 * line for a visit without items. A cell that a spreadsheet would compute begins with an apostrophe.
 *
 * @param currency ISO 4217 code of the costs, which stand in units of it with two decimals
 */
export function planCsv(visits: readonly ListedVisit[], currency: string): string {
  const names = [...VISIT_COLUMNS, ['currency'] as const, ...ITEM_COLUMNS].map(([name]) => name);
  const lines = visits.flatMap((visit) => {
    const ofVisit = [...VISIT_COLUMNS.map(([, cell]) => cell(visit)), currency];
    const items: (Item | null)[] = visit.items.length === 0 ? [null] : visit.items;
    return items.map((item) => [
      ...ofVisit,
      ...ITEM_COLUMNS.map(([, cell]) => (item === null ? null : cell(item))),
    ]);
  });
  return writeCsv([names, ...lines]);
}
