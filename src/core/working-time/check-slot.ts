import { CalendarDate, toEpochDay } from '../shared/calendar-date';
import { coversPeriod, InstantSet, intersectionOf, Period } from './instant-set';
import { PreparedPerson, PreparedWorkshop, prepareDiary } from './prepare-diary';
import { workPieces } from './work-pieces';
import { Job, NeededPerson, Slot, VehicleStay, Workshop } from './workshop';

const MS_PER_MINUTE = 60_000;
const MS_PER_DAY = 86_400_000;

/** One time that somebody wants: this bay, these people, this start. */
export interface WantedPlace {
  readonly job: Job;
  /** Milliseconds since the epoch; need not lie on the workshop's grid. */
  readonly startsAt: number;
  readonly bayId: string;
  /** All of them work on the job, even where fewer would do. */
  readonly technicianIds: readonly string[];
  readonly vehicleBusy: readonly Period[];
}

/** A thing in the way. Periods are those of the records, not only the part in the way. */
export type SlotRefusal =
  | { readonly kind: 'shut'; readonly at: number }
  | { readonly kind: 'off-shift'; readonly technicianId: string; readonly at: number }
  /** The work cannot be finished in one go, and the vehicle may not stay over the pause that it needs. */
  | { readonly kind: 'too-long'; readonly vehicleStay: VehicleStay; readonly minutes: number }
  | { readonly kind: 'bay-kinds'; readonly bayId: string; readonly missing: readonly string[] }
  | { readonly kind: 'bay-closed' | 'bay-taken'; readonly bayId: string; readonly period: Period }
  | { readonly kind: 'absent' | 'person-taken'; readonly technicianId: string; readonly period: Period }
  | { readonly kind: 'vehicle-taken'; readonly period: Period }
  /** Nobody of those named has all of these until the work ends; the day from which somebody has them no more. */
  | {
      readonly kind: 'competences';
      readonly competences: readonly string[];
      readonly endedOn: CalendarDate | null;
    }
  | { readonly kind: 'too-few-people'; readonly needed: number };

export type SlotCheck =
  | { readonly slot: Slot; readonly refusals: readonly [] }
  | { readonly slot: null; readonly refusals: readonly SlotRefusal[] };

/** No job that is worked on takes longer from its start, nights and weekends included. */
const LONGEST_STAY_DAYS = 60;

/**
 * Whether a job can have exactly this bay and these people from exactly this start, by the rules of `searchDiary`;
 * if not, everything that is in the way.
 *
 * @throws InputError as `prepareDiary`; Error for a bay or person that the workshop does not have
 */
export function checkSlot(workshop: Workshop, wanted: WantedPlace): SlotCheck {
  const { job, startsAt, bayId } = wanted;
  const bay = workshop.bays.find(({ id }) => id === bayId);
  if (bay === undefined) throw new Error(`the workshop has no bay ${bayId}`);
  const prepared = preparedFor(workshop, wanted);
  const people = peopleOf(prepared, wanted.technicianIds);
  const beforeMs = (job.minutesBefore ?? workshop.minutesBefore) * MS_PER_MINUTE;
  const afterMs = (job.minutesAfter ?? workshop.minutesAfter) * MS_PER_MINUTE;
  const pieces = piecesOf(prepared, people, job, startsAt);
  const refusals: SlotRefusal[] = pieces === null ? [whyNoPieces(prepared, people, job, startsAt)] : [];
  // what else is in the way is told as well, as if the work could go on without a pause
  const worked = pieces ?? [{ startsAt, endsAt: startsAt + job.minutes * MS_PER_MINUTE }];
  const endsAt = (worked.at(-1) as Period).endsAt;
  const stay: Period = { startsAt: startsAt - beforeMs, endsAt: endsAt + afterMs };

  const missing = job.bayKinds.filter((kind) => !bay.kinds.includes(kind));
  if (missing.length > 0) refusals.push({ kind: 'bay-kinds', bayId, missing });
  for (const period of overlapping(bay.closures, [stay]))
    refusals.push({ kind: 'bay-closed', bayId, period });
  for (const period of overlapping(bay.busy, [stay])) refusals.push({ kind: 'bay-taken', bayId, period });
  for (const period of overlapping(wanted.vehicleBusy, [stay]))
    refusals.push({ kind: 'vehicle-taken', period });
  for (const { technician } of people) {
    const technicianId = technician.id;
    for (const period of overlapping(technician.absences, worked))
      refusals.push({ kind: 'absent', technicianId, period });
    for (const period of overlapping(technician.busy, worked))
      refusals.push({ kind: 'person-taken', technicianId, period });
  }
  refusals.push(...missingPeople(job, people, endsAt));
  if (refusals.length > 0 || pieces === null) return { slot: null, refusals };
  const slot: Slot = {
    workshopId: workshop.id,
    bayId,
    technicianIds: people.map(({ technician }) => technician.id),
    startsAt,
    endsAt,
    bayFromAt: stay.startsAt,
    bayUntilAt: stay.endsAt,
    pieces,
  };
  return { slot, refusals: [] };
}

// Most jobs end on the day they start on: hours and shifts of two months are worked out only for those that do not.
function preparedFor(workshop: Workshop, { job, startsAt, technicianIds }: WantedPlace): PreparedWorkshop {
  const technicians = workshop.technicians.filter(({ id }) => technicianIds.includes(id));
  const days = workshop.vehicleStay === 'overnight' ? LONGEST_STAY_DAYS : 2 + Math.ceil(job.minutes / 1440);
  const diary = prepareDiary(
    [{ ...workshop, bays: [], technicians }],
    startsAt - MS_PER_DAY,
    startsAt + days * MS_PER_DAY,
  );
  return diary.workshops[0] as PreparedWorkshop;
}

function peopleOf(prepared: PreparedWorkshop, technicianIds: readonly string[]): PreparedPerson[] {
  return technicianIds.map((technicianId) => {
    const person = prepared.people.find(({ technician }) => technician.id === technicianId);
    if (person === undefined) throw new Error(`the workshop has no technician ${technicianId}`);
    return person;
  });
}

function piecesOf(
  { workshop, clock }: PreparedWorkshop,
  people: readonly PreparedPerson[],
  job: Job,
  startsAt: number,
): readonly Period[] | null {
  const together = people.map(({ onShift }) => onShift).reduce(intersectionOf);
  return workPieces(together, startsAt, job.minutes * MS_PER_MINUTE, workshop.vehicleStay, clock);
}

function whyNoPieces(
  { workshop, open }: PreparedWorkshop,
  people: readonly PreparedPerson[],
  { minutes }: Job,
  at: number,
): SlotRefusal {
  const isIn = (set: InstantSet): boolean => coversPeriod(set, at, at + 1);
  if (!isIn(open)) return { kind: 'shut', at };
  const offShift = people.find(({ onShift }) => !isIn(onShift));
  if (offShift !== undefined) return { kind: 'off-shift', technicianId: offShift.technician.id, at };
  return { kind: 'too-long', vehicleStay: workshop.vehicleStay, minutes };
}

function overlapping(periods: readonly Period[], wanted: readonly Period[]): Period[] {
  return periods.filter(({ startsAt, endsAt }) =>
    wanted.some((piece) => startsAt < piece.endsAt && piece.startsAt < endsAt),
  );
}

function missingPeople(job: Job, people: readonly PreparedPerson[], endsAt: number): SlotRefusal[] {
  const can = ({ competentUntil }: PreparedPerson, { competences }: NeededPerson): boolean =>
    competences.every((code) => (competentUntil.get(code) ?? -Infinity) >= endsAt);
  const unmet = job.needed.filter((needed) => !people.some((person) => can(person, needed)));
  if (unmet.length > 0) {
    return unmet.map(({ competences }) => ({
      kind: 'competences',
      competences,
      endedOn: latestEnd(people, competences),
    }));
  }
  if (job.separatePeople && !canBeSeparate(job.needed, people, can))
    return [{ kind: 'too-few-people', needed: job.needed.length }];
  return [];
}

// The latest day from which one of them has the competences no more; null where none ever had them all.
function latestEnd(people: readonly PreparedPerson[], competences: readonly string[]): CalendarDate | null {
  const ends = people.flatMap(({ technician }) => {
    const days = competences.map((code) => {
      const held = technician.competences.filter((competence) => competence.code === code);
      return held
        .map(({ untilOn }) => untilOn ?? '9999-12-31')
        .sort()
        .at(-1);
    });
    const [first, ...rest] = days.every((day) => day !== undefined) ? days : [];
    return first === undefined ? [] : [rest.reduce((low, day) => (day < low ? day : low), first)];
  });
  return (
    ends
      .filter((day) => toEpochDay(day) < toEpochDay('9999-12-31'))
      .sort()
      .at(-1) ?? null
  );
}

// Everybody needed is another person: tried one by one, as there are a handful at most.
function canBeSeparate(
  needed: readonly NeededPerson[],
  people: readonly PreparedPerson[],
  can: (person: PreparedPerson, needed: NeededPerson) => boolean,
): boolean {
  const [first, ...rest] = needed;
  if (first === undefined) return true;
  return people.some(
    (person) =>
      can(person, first) &&
      canBeSeparate(
        rest,
        people.filter((other) => other !== person),
        can,
      ),
  );
}
