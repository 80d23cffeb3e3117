import { prepareDiary } from '../../core/working-time/prepare-diary';
import type { PlanInputs, PlanRecords } from './plan-inputs';

/**
 * Works out what is free in the diaries of records.
 *
 * @throws InputError as `prepareDiary`
 */
export function preparedInputs({ diaries, ...records }: PlanRecords): PlanInputs {
  const { fromAt, untilAt } = records;
  const prepare = (which: 'booked' | 'unbooked') =>
    prepareDiary(
      diaries.map((diary) => diary[which]),
      fromAt,
      untilAt,
    ).workshops;
  const [booked, unbooked] = [prepare('booked'), prepare('unbooked')];
  const workshops = diaries.map(({ name }, at) => ({
    name,
    prepared: booked[at]!,
    unbooked: unbooked[at]!,
  }));
  return { ...records, workshops };
}
