import type { ListedVisit } from '../../../src/modules/downtime-plans/plan-views';

/** A visit of one item; `number` makes its id. */
export function visitOf(number: number, change: Partial<ListedVisit> = {}): ListedVisit {
  return {
    id: `0198a000-0000-7000-8000-${String(number).padStart(12, '0')}`,
    vehicle: 'TVP 117',
    fleetNumber: 'U17',
    depot: 'Upper Weir',
    workshop: 'Harrow Ford',
    zone: 'Europe/London',
    on: '2026-08-31',
    untilOn: '2026-08-31',
    minutes: 330,
    costMinor: 12_345,
    isLocked: false,
    bookingId: null,
    items: [itemOf()],
    ...change,
  };
}

export function itemOf(change: Partial<ListedVisit['items'][number]> = {}): ListedVisit['items'][number] {
  return {
    task: 'fluid-change',
    title: 'Fluid change',
    position: null,
    dueOn: '2026-09-02',
    plannedOn: '2026-08-31',
    minutes: 90,
    ...change,
  };
}
