import type { components } from '../../generated/contract';

type Schemas = components['schemas'];
export type Wishes = Schemas['StoredWishesDto'];
export type PlanLock = Schemas['PlanLockDto'];
export type ForbiddenDay = Schemas['PlanForbiddenDayDto'];
export type PlannedVisit = Schemas['PlannedVisitDto'];

type VisitPlace = Pick<PlannedVisit, 'vehicleId' | 'workshopId' | 'on'> & {
  items: readonly { dueItemKey: string }[];
};

/** Keeps a visit where it is, or holds its work at another day or workshop. What held any of its work before is let go. */
export function withLock(
  wishes: Wishes,
  visit: VisitPlace,
  to: { on?: string; workshopId?: string } = {},
): Wishes {
  const lock: PlanLock = {
    vehicleId: visit.vehicleId,
    workshopId: to.workshopId ?? visit.workshopId,
    on: to.on ?? visit.on,
    dueItemKeys: visit.items.map(({ dueItemKey }) => dueItemKey).sort(),
  };
  const { locked } = withoutLock(wishes, visit);
  return {
    locked: [...locked, lock],
    forbidden: wishes.forbidden.filter((day) => !isSameDay(day, lock)),
  };
}

export function withoutLock(wishes: Wishes, visit: VisitPlace): Wishes {
  return { ...wishes, locked: wishes.locked.filter((lock) => !holdsWorkOf(lock, visit)) };
}

/** Where the work of a visit is held, if anywhere. */
export function lockOf(wishes: Wishes, visit: VisitPlace): PlanLock | undefined {
  return wishes.locked.find((lock) => holdsWorkOf(lock, visit));
}

/** Keeps a vehicle on the road on a day; a lock there is let go, or nothing could keep to both. */
export function withForbidden(wishes: Wishes, day: ForbiddenDay): Wishes {
  const { vehicleId, on } = day;
  return {
    locked: wishes.locked.filter((lock) => !isSameDay(lock, day)),
    forbidden: [...wishes.forbidden.filter((each) => !isSameDay(each, day)), { vehicleId, on }],
  };
}

export function withoutForbidden(wishes: Wishes, day: ForbiddenDay): Wishes {
  return { ...wishes, forbidden: wishes.forbidden.filter((each) => !isSameDay(each, day)) };
}

/** What is wished now and was not when the plan was made, and what no longer is. */
export interface WishChange {
  kind: 'lock' | 'let-go' | 'forbid' | 'allow';
  vehicleId: string;
  on: string;
}

export function wishChanges(before: Wishes, now: Wishes): WishChange[] {
  const without = <Wish>(
    from: readonly Wish[],
    what: readonly Wish[],
    textOf: (wish: Wish) => string,
  ): Wish[] => {
    const known = new Set(what.map(textOf));
    return from.filter((wish) => !known.has(textOf(wish)));
  };
  const told = (kind: WishChange['kind'], wishes: readonly ForbiddenDay[]): WishChange[] =>
    wishes.map(({ vehicleId, on }) => ({ kind, vehicleId, on }));
  return [
    ...told('lock', without(now.locked, before.locked, lockText)),
    ...told('let-go', without(before.locked, now.locked, lockText)),
    ...told('forbid', without(now.forbidden, before.forbidden, dayText)),
    ...told('allow', without(before.forbidden, now.forbidden, dayText)),
  ];
}

const lockText = ({ vehicleId, workshopId, on, dueItemKeys }: PlanLock): string =>
  JSON.stringify([vehicleId, workshopId, on, [...dueItemKeys].sort()]);
const dayText = ({ vehicleId, on }: ForbiddenDay): string => JSON.stringify([vehicleId, on]);

function isSameDay(one: ForbiddenDay, other: ForbiddenDay): boolean {
  return one.vehicleId === other.vehicleId && one.on === other.on;
}

function holdsWorkOf(lock: PlanLock, { vehicleId, items }: VisitPlace): boolean {
  return (
    lock.vehicleId === vehicleId && items.some(({ dueItemKey }) => lock.dueItemKeys.includes(dueItemKey))
  );
}
