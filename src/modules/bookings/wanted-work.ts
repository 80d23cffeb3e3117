import type { DueState } from '../../core/due/state';
import { DEFAULT_LABOUR_MINUTES } from '../../core/visit/job-of';
import { settles } from '../../core/visit/goes-together';
import type { FieldError } from '../../platform/errors/coded-error';
import type { DueItemDetails, VehicleDueItemRow } from '../due-items/due-item-row';
import type { BookedItem, BookedWork } from './booked-work';
import { noSuchDueItem, nothingToDo, refusedWork } from './bookings.errors';
import type { WantedWorkDto } from './dto/write-booking.dto';

// what a visit takes on when nobody says otherwise
const WORTH_DOING: readonly DueState[] = ['overdue', 'due', 'due-soon'];

/**
 * The work that a request names, as it stands in the vehicle's due items.
 *
 * @throws CodedError that names every key that is none of the vehicle's, or that nothing is to be done
 */
export function wantedWork(
  { dueItemKeys, extraWork }: Pick<WantedWorkDto, 'dueItemKeys' | 'extraWork'>,
  rows: readonly VehicleDueItemRow[],
): BookedWork {
  const owed = new Map(
    rows.flatMap((row) => (row.details === null ? [] : [[row.details.key, row] as const])),
  );
  const faults: FieldError[] = [];
  const keys = dueItemKeys ?? worthDoing([...owed.values()]);
  const items = keys.flatMap((key, index): BookedItem[] => {
    const details = owed.get(key)?.details;
    if (details) return [bookedItem(details)];
    faults.push(noSuchDueItem(key, index));
    return [];
  });
  if (faults.length > 0) throw refusedWork(faults);
  const extra = (extraWork ?? []).map(({ title, minutes, competences, bayKind }) => ({
    title,
    minutes,
    competences: competences ?? [],
    bayKind: bayKind ?? null,
  }));
  if (items.length + extra.length === 0) throw nothingToDo();
  return { items, extra };
}

// What other work settles is done with it, and counted once; of two that settle each other the first by key stays.
function worthDoing(owed: readonly { details: DueItemDetails; state: DueState }[]): string[] {
  const worth = owed.filter(({ state }) => WORTH_DOING.includes(state)).map(({ details }) => details);
  const comesAlong = (item: DueItemDetails): boolean =>
    worth.some(
      (other) =>
        other.key !== item.key && settles(other, item) && !(settles(item, other) && item.key < other.key),
    );
  return worth.filter((item) => !comesAlong(item)).map(({ key }) => key);
}

function bookedItem(details: DueItemDetails): BookedItem {
  const { key, cycle, task, title, position, safetyCritical, labourMinutes } = details;
  const { competences, bayKind, consumables } = details;
  return {
    dueItemKey: key,
    cycle,
    task,
    title,
    position,
    safetyCritical,
    minutes: labourMinutes ?? DEFAULT_LABOUR_MINUTES,
    minutesAssumed: labourMinutes === null,
    competences,
    bayKind,
    consumables,
  };
}
