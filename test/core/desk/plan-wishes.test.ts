import {
  lockOf,
  wishChanges,
  withForbidden,
  withLock,
  withoutForbidden,
  withoutLock,
  type Wishes,
} from '../../../src/desk/pages/planner/plan-wishes';

const NONE: Wishes = { locked: [], forbidden: [] };
const visit = {
  vehicleId: 'vehicle',
  workshopId: 'workshop',
  on: '2026-12-10',
  items: [{ dueItemKey: 'fluid-change' }, { dueItemKey: 'filter-clean' }],
};

it('locks a visit where it is, with all of its work', () => {
  expect(withLock(NONE, visit).locked).toEqual([
    {
      vehicleId: 'vehicle',
      workshopId: 'workshop',
      on: '2026-12-10',
      dueItemKeys: ['filter-clean', 'fluid-change'],
    },
  ]);
});

it('moves a visit by letting the lock go that held its work before', () => {
  const moved = withLock(withLock(NONE, visit), visit, { on: '2026-12-14', workshopId: 'other' });
  expect(moved.locked).toHaveLength(1);
  expect(lockOf(moved, visit)).toMatchObject({ on: '2026-12-14', workshopId: 'other' });
});

it('holds no two wishes that rule each other out', () => {
  const forbidden = withForbidden(withLock(NONE, visit), visit);
  expect(forbidden).toEqual({ locked: [], forbidden: [{ vehicleId: 'vehicle', on: '2026-12-10' }] });
  expect(withLock(forbidden, visit).forbidden).toEqual([]);
});

it('forbids a day once, and keeps what is wished of other vehicles and days', () => {
  const others = withForbidden(withForbidden(NONE, { vehicleId: 'other', on: '2026-12-10' }), {
    vehicleId: 'vehicle',
    on: '2026-12-11',
  });
  const twice = withForbidden(withForbidden(others, visit), visit);
  expect(twice.forbidden).toHaveLength(3);
  expect(withoutForbidden(twice, visit)).toEqual(others);
});

it('tells what changed against the plan, whatever the order of keys', () => {
  const before = withLock(NONE, visit);
  const [lock] = before.locked;
  const sameInOtherOrder: Wishes = {
    locked: lock === undefined ? [] : [{ ...lock, dueItemKeys: [...lock.dueItemKeys].reverse() }],
    forbidden: [],
  };
  expect(wishChanges(before, sameInOtherOrder)).toEqual([]);
  expect(wishChanges(before, withForbidden(withoutLock(before, visit), visit))).toEqual([
    { kind: 'let-go', vehicleId: 'vehicle', on: '2026-12-10' },
    { kind: 'forbid', vehicleId: 'vehicle', on: '2026-12-10' },
  ]);
  expect(wishChanges(NONE, before).map(({ kind }) => kind)).toEqual(['lock']);
});
