import { InputError } from '../shared/input-error';
import { InstantSet, instantSetOf } from './instant-set';
import { Diary } from './prepare-diary';
import { DiaryQuestion, Job, Slot } from './workshop';
import { WorkshopSearch } from './workshop-search';

/**
 * The first slots for a job, in order of start: at most one for each workshop and grid point.
 *
 * At each start the fewest people are taken; among equal teams, and among bays, those that have the least free
 * time left in the diary, then the lower id. Starts of several workshops at one instant come in the order of
 * the fewest people, then of the workshop's id.
 *
 * A job stays with its people and its bay. Where the vehicle may stay, the work pauses while the workshop is
 * closed or one of the team is off shift, and only then: a booking or an absence of one of them in their
 * working time rules the team out. A competence must last until the work ends.
 *
 * @throws InputError for a job, range or count that cannot be, and for a range outside the diary
 */
export function searchDiary(diary: Diary, question: DiaryQuestion): Slot[] {
  checkQuestion(diary, question);
  const vehicleBusy = instantSetOf(question.vehicleBusy, 'vehicleBusy');
  let found: Slot[] = [];
  for (const prepared of diary.workshops) {
    // a start after the last one that counts so far is of no use
    const last = found[question.count - 1];
    const slots = slotsOf(new WorkshopSearch(prepared, question, vehicleBusy), question, prepared.open, last);
    found = [...found, ...slots].sort(inOrder).slice(0, question.count);
  }
  return found;
}

function slotsOf(
  search: WorkshopSearch,
  question: DiaryQuestion,
  open: InstantSet,
  last: Slot | undefined,
): Slot[] {
  const slots: Slot[] = [];
  const lastStartAt = Math.min(
    question.untilAt - question.job.minutes * 60_000,
    last?.startsAt ?? Number.POSITIVE_INFINITY,
  );
  for (let i = 0; i < open.length; i += 2) {
    const until = open[i + 1] as number;
    let startsAt = search.gridPointFrom(Math.max(open[i] as number, question.fromAt));
    while (startsAt < until) {
      if (startsAt > lastStartAt) return slots;
      const slot = search.slotAt(startsAt);
      if (slot !== null && slots.push(slot) === question.count) return slots;
      startsAt = search.gridPointFrom(startsAt + 1);
    }
  }
  return slots;
}

function inOrder(a: Slot, b: Slot): number {
  return (
    a.startsAt - b.startsAt ||
    a.technicianIds.length - b.technicianIds.length ||
    (a.workshopId < b.workshopId ? -1 : a.workshopId > b.workshopId ? 1 : 0)
  );
}

// one bit each, and more people than that do not fit around a vehicle
const MOST_NEEDED = 12;

function checkQuestion(diary: Diary, { job, fromAt, untilAt, count }: DiaryQuestion): void {
  if (!(fromAt >= diary.fromAt && fromAt < untilAt && untilAt <= diary.untilAt))
    throw new InputError(
      'fromAt',
      'the range is empty or leaves the diary',
      'ask within the prepared range, start before end',
    );
  if (!(Number.isInteger(count) && count > 0))
    throw new InputError('count', `${count} slots`, 'ask for at least one');
  checkJob(job);
}

function checkJob(job: Job): void {
  if (!(Number.isInteger(job.minutes) && job.minutes > 0))
    throw new InputError('job.minutes', `${job.minutes} minutes of work`, 'give a whole number above zero');
  for (const name of ['minutesBefore', 'minutesAfter'] as const) {
    const minutes = job[name] ?? 0;
    if (!(Number.isInteger(minutes) && minutes >= 0))
      throw new InputError(`job.${name}`, `${minutes} minutes`, 'give a whole number, or null');
  }
  if (job.needed.length > MOST_NEEDED)
    throw new InputError('job.needed', `${job.needed.length} people`, `give at most ${MOST_NEEDED}`);
}
