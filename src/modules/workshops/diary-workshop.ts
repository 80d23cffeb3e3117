import { addDays, localDateAt, startOfLocalDay, type CalendarDate } from '../../core/shared/calendar-date';
import type { Period } from '../../core/working-time/instant-set';
import type { DayException, OpeningPattern } from '../../core/working-time/opening-pattern';
import type { Workshop as DiaryWorkshop } from '../../core/working-time/workshop';
import type { StoredAbsence } from './bay.entity';
import type { WholeWorkshop } from './whole-workshop';
import type { StoredDayException, Workshop } from './workshop.entity';

/** What is taken, by the id of a bay or a person, in order of start. */
export type Taken = ReadonlyMap<string, readonly Period[]>;

/**
 * A workshop as the search of its diary takes it. Bays and people that are not used any more are closed, or absent,
 * from the day on which that began.
 *
 * @param holidaysOn public holidays in the range
 */
export function diaryWorkshop(
  { workshop, bays, technicians }: WholeWorkshop,
  holidaysOn: readonly CalendarDate[],
  range: Period,
  taken: Taken,
): DiaryWorkshop {
  const goneFrom = (retiredOn: string | null): Period[] => {
    if (retiredOn === null || retiredOn > localDateAt(range.endsAt, workshop.zone)) return [];
    return [{ startsAt: startOfLocalDay(retiredOn, workshop.zone), endsAt: range.endsAt + MS_PER_DAY }];
  };
  return {
    id: workshop.id,
    opening: openingOf(workshop, holidaysOn, range),
    bays: bays.map(({ id, kinds, closures, retiredOn }) => ({
      id,
      kinds,
      closures: [...closures.map(periodOf), ...goneFrom(retiredOn), ...goneFrom(workshop.retiredOn)],
      busy: taken.get(id) ?? [],
    })),
    technicians: technicians.map((technician) => ({
      id: technician.id,
      competences: technician.competences.map(({ code, lastOn }) => ({
        code,
        untilOn: lastOn === null ? null : addDays(lastOn, 1),
      })),
      shifts: technician.shifts,
      shiftExceptions: technician.shiftExceptions.map(({ on, windows }) => ({ on, windows })),
      absences: [...technician.absences.map(periodOf), ...goneFrom(technician.retiredOn)],
      busy: taken.get(technician.id) ?? [],
    })),
    minutesBefore: workshop.minutesBefore,
    minutesAfter: workshop.minutesAfter,
    vehicleStay: workshop.vehicleStay,
    gridMinutes: workshop.gridMinutes,
  };
}

const MS_PER_DAY = 86_400_000;

/** When a workshop is open in a range. */
export function openingOf(
  { zone, weeklyHours, dayExceptions }: Pick<Workshop, 'zone' | 'weeklyHours' | 'dayExceptions'>,
  holidaysOn: readonly CalendarDate[],
  range: Period,
): OpeningPattern {
  const firstOn = addDays(localDateAt(range.startsAt, zone), -2);
  const lastOn = addDays(localDateAt(range.endsAt, zone), 1);
  return {
    zone,
    weekly: weeklyHours,
    holidaysOn,
    exceptions: dayExceptions.flatMap((exception) => daysOf(exception, firstOn, lastOn)),
  };
}

function daysOf(
  { fromOn, untilOn, windows }: StoredDayException,
  firstOn: CalendarDate,
  lastOn: CalendarDate,
): DayException[] {
  const days: DayException[] = [];
  for (let on = fromOn > firstOn ? fromOn : firstOn; on < untilOn && on <= lastOn; on = addDays(on, 1))
    days.push({ on, windows });
  return days;
}

function periodOf({ startsAt, endsAt }: StoredAbsence): Period {
  return { startsAt: Date.parse(startsAt), endsAt: Date.parse(endsAt) };
}
