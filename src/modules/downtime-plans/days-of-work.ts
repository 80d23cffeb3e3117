import type { PlanWorkshop } from '../../core/downtime-plan/plan-problem';

/** What work takes on one day, `[resource]`. */
export interface DayOfWork {
  readonly day: number;
  readonly minutes: readonly number[];
}

/**
 * How work spreads over the days of a workshop: each takes what it allows of the length, and its share of everything else,
 * rounded so that the parts add up. What is left on the last day of the plan goes on after it.
 *
 * @param minutes `[resource]`; the first is the length
 * @returns every day from the arrival to the end; what is closed in between takes 0 minutes
 */
export function daysOfWork(
  { visitMinutes }: Pick<PlanWorkshop, 'visitMinutes'>,
  firstDay: number,
  minutes: readonly number[],
): DayOfWork[] {
  const length = Math.max(1, minutes[0]!);
  const days: DayOfWork[] = [];
  let done = 0;
  for (let day = firstDay; day < visitMinutes.length && done < length; day++) {
    const part = Math.min(visitMinutes[day]!, length - done);
    days.push({
      day,
      minutes: minutes.map(
        (each) => Math.floor((each * (done + part)) / length) - Math.floor((each * done) / length),
      ),
    });
    done += part;
  }
  return days;
}

/** The day on which work ends that begins on a day and takes what the days allow. */
export function lastDayOf(
  workshop: Pick<PlanWorkshop, 'visitMinutes'>,
  firstDay: number,
  minutes: number,
): number {
  return daysOfWork(workshop, firstDay, [minutes]).at(-1)?.day ?? firstDay;
}
