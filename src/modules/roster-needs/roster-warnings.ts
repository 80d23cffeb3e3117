import type { CalendarDate } from '../../core/shared/calendar-date';
import type { RosterNeed } from './roster-need.entity';

const WEEKDAY_NAMES = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'];

/** What whoever plans by a roster should know of it; exceptions that are over are left alone. */
export function rosterWarnings(
  roster: Pick<RosterNeed, 'neededByWeekday' | 'exceptions'> | null,
  vehicleCount: number,
  todayOn: CalendarDate,
): string[] {
  if (roster === null)
    return ['Nothing is set for this depot: a plan may take all of its vehicles off the road on one day.'];
  const tooMany = roster.neededByWeekday.flatMap((needed, day) =>
    needed > vehicleCount ? [`${WEEKDAY_NAMES[day] ?? ''} (${needed})`] : [],
  );
  const ofWeekdays = tooMany.length === 0 ? [] : [sentence(`On ${tooMany.join(', ')}`, vehicleCount)];
  const ofExceptions = roster.exceptions
    .filter(({ untilOn, needed }) => untilOn > todayOn && needed > vehicleCount)
    .map(({ fromOn, untilOn, needed }) =>
      sentence(`From ${fromOn} until ${untilOn} (${needed})`, vehicleCount),
    );
  return [...ofWeekdays, ...ofExceptions];
}

function sentence(when: string, vehicleCount: number): string {
  return `${when} more vehicles are needed than the depot has (${vehicleCount}): no plan can take any off the road.`;
}
