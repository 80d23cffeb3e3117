import { InstantSet, intervalEndingAfter, Period } from './instant-set';
import { VehicleStay } from './workshop';
import { ZoneClock } from './zone-clock';

/**
 * The periods in which a job is worked on: the first `workMs` of the working time from its start.
 *
 * @param workingTime when all of the people are on shift
 * @param workMs milliseconds of work, above zero
 * @param stay where the vehicle may stand while nobody works
 * @returns null where the start is no working time, the vehicle may not stay, or the working time runs out
 */
export function workPieces(
  workingTime: InstantSet,
  startsAt: number,
  workMs: number,
  stay: VehicleStay,
  clock: ZoneClock,
): Period[] | null {
  const pieces: Period[] = [];
  let left = workMs;
  for (let i = intervalEndingAfter(workingTime, startsAt); i < workingTime.length; i += 2) {
    const from = workingTime[i] as number;
    const until = workingTime[i + 1] as number;
    const before = pieces.at(-1);
    if (before === undefined ? from > startsAt : !mayPause(before.endsAt, from, stay, clock)) return null;
    const pieceFrom = Math.max(from, startsAt);
    const endsAt = Math.min(until, pieceFrom + left);
    pieces.push({ startsAt: pieceFrom, endsAt });
    left -= endsAt - pieceFrom;
    if (left === 0) return pieces;
  }
  return null;
}

function mayPause(fromAt: number, untilAt: number, stay: VehicleStay, clock: ZoneClock): boolean {
  return (
    stay === 'overnight' ||
    (stay === 'over-breaks' && clock.localDayAt(fromAt - 1) === clock.localDayAt(untilAt))
  );
}
