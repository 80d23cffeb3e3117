import type { PlanWorkshop } from '../../core/downtime-plan/plan-problem';

/** What a visit takes of a workshop on one of its days. */
export interface VisitPart {
  readonly day: number;
  /** `[resource]` */
  readonly minutes: readonly number[];
}

/**
 * How work that begins on a day spreads over that day and those that follow: of each day what it allows, of everything but
 * the bay in proportion, rounded so that the parts add up. Where the plan ends first, the rest is missing.
 *
 * @param minutes `[resource]`, the first being the length
 */
export function partsOf(
  { visitMinutes }: Pick<PlanWorkshop, 'visitMinutes'>,
  firstDay: number,
  minutes: readonly number[],
): VisitPart[] {
  const length = Math.max(1, minutes[0] ?? 0);
  const parts: VisitPart[] = [];
  for (let day = firstDay, done = 0; day < visitMinutes.length && done < length; day++) {
    const until = Math.min(length, done + visitMinutes[day]!);
    const upTo = (total: number, share: number): number => Math.floor((total * share) / length);
    if (until > done)
      parts.push({ day, minutes: minutes.map((total) => upTo(total, until) - upTo(total, done)) });
    done = until;
  }
  return parts;
}

/** Whether parts are all of the work. */
export function isWhole(parts: readonly VisitPart[], minutes: readonly number[]): boolean {
  return parts.reduce((sum, part) => sum + part.minutes[0]!, 0) === minutes[0];
}

/** The day on which work ends that begins on a day; the last of the plan where it goes on after it. */
export function lastDayOf(
  workshop: Pick<PlanWorkshop, 'visitMinutes'>,
  firstDay: number,
  minutes: number,
): number {
  const parts = partsOf(workshop, firstDay, [minutes]);
  return isWhole(parts, [minutes]) ? (parts.at(-1)?.day ?? firstDay) : workshop.visitMinutes.length - 1;
}
