import { startOfLocalDay, addDays } from '../../src/core/shared/calendar-date';
import type { PreparedWorkshop } from '../../src/core/working-time/prepare-diary';
import type { OwedItem, PlanInputs } from '../../src/modules/downtime-plans/plan-inputs';
import type { PlannedVisit } from '../../src/modules/downtime-plans/planned-visit.entity';

const MINUTE = 60_000;

interface PlacedVisit extends PlannedVisit {
  startsAt: Date;
  endsAt: Date;
  bayId: string;
}

/** Something of a workshop that one visit has at a time. */
interface Use {
  what: string;
  from: number;
  until: number;
}

/**
 * Everything that is wrong with the places of a plan's visits in the diaries: days, hours, bays, people, and what two
 * visits have at once. For people who have the hours of their workshop. Knows nothing of how places are found.
 *
 * @param owedOf the work of a visit
 */
export function faultsOfPlaces(
  { workshops }: Pick<PlanInputs, 'workshops'>,
  visits: readonly PlannedVisit[],
  owedOf: (visit: PlannedVisit) => readonly OwedItem[],
): string[] {
  const placed = visits.filter((visit): visit is PlacedVisit => visit.startsAt !== null);
  const uses: Use[] = [];
  const faults = placed.flatMap((visit) => {
    const { prepared } = workshops.find((each) => each.prepared.workshop.id === visit.workshopId)!;
    const { minutesBefore, minutesAfter } = prepared.workshop;
    const [from, until] = [visit.startsAt.getTime(), visit.endsAt.getTime()];
    uses.push({
      what: visit.bayId,
      from: from - minutesBefore * MINUTE,
      until: until + minutesAfter * MINUTE,
    });
    for (const what of visit.technicianIds) uses.push({ what, from, until });
    return faultsOfPlace(prepared, visit, owedOf(visit)).map(
      (fault) => `${visit.vehicleId} at ${visit.startsAt.toISOString()}: ${fault}`,
    );
  });
  uses.sort((a, b) => a.from - b.from);
  const twice = uses.filter((use, at) =>
    uses.slice(0, at).some((earlier) => earlier.what === use.what && earlier.until > use.from),
  );
  return [
    ...faults,
    ...twice.map(
      ({ what, from }) => `${what} is at two visits at once, from ${new Date(from).toISOString()}`,
    ),
  ];
}

function faultsOfPlace(
  { workshop, bays, people, open }: PreparedWorkshop,
  visit: PlacedVisit,
  owed: readonly OwedItem[],
): string[] {
  const { zone } = workshop.opening;
  const [from, until] = [visit.startsAt.getTime(), visit.endsAt.getTime()];
  const faults: string[] = [];
  const must = (holds: boolean, fault: string): void => {
    if (!holds) faults.push(fault);
  };
  must(
    startOfLocalDay(visit.visitOn, zone) <= from && until <= startOfLocalDay(addDays(visit.untilOn, 1), zone),
    `not within ${visit.visitOn} to ${visit.untilOn}`,
  );
  const bay = bays.find((each) => each.bay.id === visit.bayId);
  must(bay !== undefined, `no bay ${visit.bayId} there`);
  for (const { bayKind } of owed)
    must(bayKind === null || bay?.bay.kinds.includes(bayKind) === true, `the bay is no ${bayKind}`);
  must(
    bay !== undefined &&
      isWithin(from - workshop.minutesBefore * MINUTE, until + workshop.minutesAfter * MINUTE, bay.free),
    'the bay is taken or closed',
  );
  const team = people.filter(({ technician }) => visit.technicianIds.includes(technician.id));
  must(team.length > 0 && team.length === visit.technicianIds.length, 'people who are not there');
  for (const { title, competences } of owed)
    must(
      team.some(({ competentUntil }) =>
        competences.every((code) => (competentUntil.get(code) ?? -Infinity) >= until),
      ),
      `nobody of the team may do ${title}`,
    );
  // what they have of that time together, minute by minute
  let worked = 0;
  for (let at = from; at < until; at += MINUTE) {
    const isOpen = isWithin(at, at + MINUTE, open);
    const isThere = team.every(({ free }) => isWithin(at, at + MINUTE, free));
    must(!isOpen || isThere, `somebody of the team is away at ${new Date(at).toISOString()}`);
    if (isOpen && isThere) worked += 1;
  }
  must(worked === visit.workMinutes, `${worked} minutes are worked, not ${visit.workMinutes}`);
  if (workshop.vehicleStay === 'not-at-all')
    must(until - from === visit.workMinutes * MINUTE, 'the work is broken');
  return [...new Set(faults)];
}

function isWithin(from: number, until: number, set: ArrayLike<number>): boolean {
  for (let at = 0; at < set.length; at += 2) if (set[at]! <= from && until <= set[at + 1]!) return true;
  return false;
}
