import { instantSetOf, Period } from './instant-set';
import { Diary } from './prepare-diary';
import { Job, Slot } from './workshop';
import { WorkshopSearch } from './workshop-search';

/**
 * The best bay and people for a job that starts at a given instant, or null where there are none: the same choice
 * as `searchDiary` makes, for a start that need not lie on the grid.
 *
 * @param diary of one workshop, covering the whole job
 * @throws InputError for a vehicle period that does not end after it starts
 */
export function slotStartingAt(
  diary: Diary,
  job: Job,
  startsAt: number,
  vehicleBusy: readonly Period[],
): Slot | null {
  const question = { job, fromAt: startsAt, untilAt: diary.untilAt, count: 1, vehicleBusy };
  const busy = instantSetOf(vehicleBusy, 'vehicleBusy');
  for (const prepared of diary.workshops) {
    const slot = new WorkshopSearch(prepared, question, busy).slotAt(startsAt);
    if (slot !== null && slot.endsAt <= diary.untilAt) return slot;
  }
  return null;
}
