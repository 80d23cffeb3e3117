import type { DueItem } from '../../core/due/due-item';
import type {
  ClearedUnitWorkDto,
  MovedUnitWorkDto,
  RaisedUnitWorkDto,
} from './dto/recorded-gas-unit-event.dto';

/** What the comparison looks at. */
export type OwedWork = { vehicleId: string } & Pick<
  DueItem,
  'key' | 'cycle' | 'kind' | 'task' | 'title' | 'position' | 'driver' | 'dueOn'
>;

/** What an event did to the due items of the vehicles. */
export interface EffectOnDueItems {
  clears: ClearedUnitWorkDto[];
  raises: RaisedUnitWorkDto[];
  moves: MovedUnitWorkDto[];
}

/**
 * What changed between the items before an event and after it. An item is cleared when it is gone, is about another
 * interval now, or is no longer owed because of a test that failed; it is raised when it is new, when a test that
 * failed owes it, or when it is a follow-up that counts from this event. What is left and has another date has moved.
 */
export function effectOnDueItems(
  before: readonly OwedWork[],
  after: readonly OwedWork[],
  eventId: string,
): EffectOnDueItems {
  const place = ({ vehicleId, key }: OwedWork): string => `${vehicleId} ${key}`;
  const now = new Map(after.map((item) => [place(item), item]));
  const old = new Map(before.map((item) => [place(item), item]));
  const isBegun = (item: OwedWork): boolean => item.kind === 'follow-up' && item.cycle === eventId;
  const isFailure = (item: OwedWork | undefined): boolean => item?.driver === 'failed-test';
  const isCleared = (item: OwedWork): boolean => {
    const next = now.get(place(item));
    if (next === undefined) return true;
    return !isBegun(next) && (next.cycle !== item.cycle || (isFailure(item) && !isFailure(next)));
  };
  const isRaised = (item: OwedWork): boolean => {
    const last = old.get(place(item));
    if (last === undefined) return true;
    return (isBegun(item) && last.cycle !== item.cycle) || (isFailure(item) && !isFailure(last));
  };
  const effect: EffectOnDueItems = { clears: [], raises: [], moves: [] };
  for (const item of before) {
    const next = now.get(place(item));
    const { vehicleId, key, task, title, position, dueOn: dueOnBefore } = item;
    const told = { vehicleId, key, task, title, position, dueOnBefore, dueOnAfter: next?.dueOn ?? null };
    if (isCleared(item)) effect.clears.push({ ...told, comesBack: next !== undefined });
    else if (next !== undefined && !isRaised(next) && next.dueOn !== dueOnBefore) effect.moves.push(told);
  }
  for (const item of after.filter(isRaised)) {
    const { vehicleId, key, task, title, position, dueOn } = item;
    effect.raises.push({ vehicleId, key, task, title, position, dueOn });
  }
  return effect;
}
