import { BEFORE, dueMatrix, type FleetDueItem } from '../../../src/desk/pages/planner/due-matrix';

const DEPOTS = [
  { id: 'upper', name: 'Upper Tarn' },
  { id: 'lower', name: 'Lower Tarn' },
];

function item(depotId: string, dueOn: string | null, more: Partial<FleetDueItem> = {}): FleetDueItem {
  return { depotId, dueOn, state: 'not-due', labourMinutes: 30, ...more } as FleetDueItem;
}

it('begins with what was due before the week of the first day', () => {
  const { columns, rows } = dueMatrix(
    [item('upper', '2026-11-29', { state: 'overdue' }), item('upper', '2026-11-30')],
    DEPOTS,
    '2026-12-02',
    2,
  );
  expect(columns.map(({ key }) => key)).toEqual([BEFORE, '2026-11-30', '2026-12-07']);
  expect(rows[0]?.cells.map(({ items }) => items.length)).toEqual([1, 1, 0]);
  expect(rows[0]?.cells[0]?.countByState.overdue).toBe(1);
});

it('follows the weeks of ISO 8601 over New Year', () => {
  const { columns } = dueMatrix([], DEPOTS, '2026-12-31', 3);
  expect(columns.slice(1).map(({ weekOn }) => weekOn)).toEqual(['2026-12-28', '2027-01-04', '2027-01-11']);
});

it('leaves out what has no date or lies beyond the last week', () => {
  const { rows, totals } = dueMatrix(
    [item('lower', null), item('lower', '2026-12-14'), item('lower', '2026-12-13')],
    DEPOTS,
    '2026-11-30',
    2,
  );
  expect(rows[1]?.cells.map(({ items }) => items.length)).toEqual([0, 0, 1]);
  expect(rows[1]?.total.items.length).toBe(1);
  expect(totals.map(({ items }) => items.length)).toEqual([0, 0, 1]);
});

it('adds minutes of the work whose labour is known, and counts the rest', () => {
  const { totals } = dueMatrix(
    [
      item('upper', '2026-12-01', { labourMinutes: 90 }),
      item('lower', '2026-12-02', { labourMinutes: null }),
      item('lower', '2026-12-03', { labourMinutes: 25, state: 'due-soon' }),
    ],
    DEPOTS,
    '2026-11-30',
    1,
  );
  expect(totals[1]).toMatchObject({ minutes: 115, withoutMinutes: 1 });
  expect(totals[1]?.countByState).toEqual({
    overdue: 0,
    due: 0,
    'due-soon': 1,
    'not-due': 2,
    undetermined: 0,
  });
});
