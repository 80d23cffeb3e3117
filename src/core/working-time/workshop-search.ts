import { Candidate, firstTeam } from './first-team';
import { InstantSet, intersectionOf, intervalEndingAfter, Period } from './instant-set';
import { neededMasks } from './needed-masks';
import { PreparedPerson, PreparedWorkshop } from './prepare-diary';
import { workPieces } from './work-pieces';
import { DiaryQuestion, Slot } from './workshop';

const MS_PER_MINUTE = 60_000;

interface Team {
  readonly people: readonly PreparedPerson[];
  /** Their places in the order of preference. */
  readonly ranks: readonly number[];
}

interface Work {
  readonly pieces: readonly Period[];
  readonly endsAt: number;
  readonly bayId: string;
}

/**
 * One question put to one workshop. Starts must be asked for in increasing order: the places in the sets of
 * the bays, the people and the vehicle only move forwards, which makes the search linear in time.
 */
export class WorkshopSearch {
  private readonly workMs: number;
  private readonly beforeMs: number;
  private readonly afterMs: number;
  private readonly gridMs: number;
  private readonly bays: readonly { id: string; free: InstantSet }[];
  private readonly people: readonly PreparedPerson[];
  private readonly masks: ReturnType<typeof neededMasks>;
  private readonly bayPlace: Int32Array;
  private readonly personPlace: Int32Array;
  private vehiclePlace = 0;
  // common shifts of the groups whose numbers make up the key
  private readonly commonShift = new Map<string, InstantSet>();

  constructor(
    private readonly prepared: PreparedWorkshop,
    private readonly question: DiaryQuestion,
    private readonly vehicleBusy: InstantSet,
  ) {
    const { job } = question;
    const { workshop } = prepared;
    this.workMs = job.minutes * MS_PER_MINUTE;
    this.beforeMs = (job.minutesBefore ?? workshop.minutesBefore) * MS_PER_MINUTE;
    this.afterMs = (job.minutesAfter ?? workshop.minutesAfter) * MS_PER_MINUTE;
    this.gridMs = workshop.gridMinutes * MS_PER_MINUTE;
    this.bays = prepared.bays
      .filter(({ bay }) => job.bayKinds.every((kind) => bay.kinds.includes(kind)))
      .map(({ bay, free }) => ({ id: bay.id, free }));
    this.masks = neededMasks(prepared.people, job);
    this.people = prepared.people;
    this.bayPlace = new Int32Array(this.bays.length);
    this.personPlace = new Int32Array(this.people.length);
  }

  gridPointFrom(instant: number): number {
    return this.prepared.clock.gridPointFrom(instant, this.gridMs);
  }

  /** The slot that starts at a grid point of the opening hours, or null. */
  slotAt(startsAt: number): Slot | null {
    const earliestEnd = startsAt + this.workMs;
    if (!this.isVehicleFree(startsAt, earliestEnd) || this.bayFor(startsAt, earliestEnd) === null)
      return null;
    const candidates = this.candidatesAt(startsAt, earliestEnd);
    if (candidates.length === 0) return null;
    return this.prepared.workshop.vehicleStay === 'not-at-all'
      ? this.unbrokenSlot(startsAt, earliestEnd, candidates)
      : this.pausingSlot(startsAt, candidates);
  }

  private unbrokenSlot(startsAt: number, endsAt: number, ranks: readonly number[]): Slot | null {
    const bayId = this.bayFor(startsAt, endsAt);
    const candidates = ranks.map((rank) => ({ mask: this.masks.maskAt(rank, endsAt), group: 0 }));
    for (let size = this.masks.fewest; size <= this.masks.most; size++) {
      const team = firstTeam(candidates, size, this.masks.all, this.masks.separate, 1);
      if (team !== null && bayId !== null)
        return this.slotOf(startsAt, this.teamOf(team.map((i) => ranks[i] as number)), {
          pieces: [{ startsAt, endsAt }],
          endsAt,
          bayId,
        });
    }
    return null;
  }

  // When the work ends depends on the shifts of the team, so teams are sought for each set of shifts apart.
  private pausingSlot(startsAt: number, ranks: readonly number[]): Slot | null {
    const groups = [...new Set(ranks.map((rank) => (this.people[rank] as PreparedPerson).shiftGroup))].sort(
      (a, b) => a - b,
    );
    const workOf = new Map<string, Work | null>();
    for (let size = this.masks.fewest; size <= this.masks.most; size++) {
      let best: { team: Team; work: Work } | null = null;
      for (const chosen of subsets(groups, Math.min(size, groups.length))) {
        const key = chosen.join(' ');
        let work = workOf.get(key);
        if (work === undefined) {
          work = this.workAt(startsAt, chosen, key);
          workOf.set(key, work);
        }
        const team = work === null ? null : this.teamFor(size, ranks, chosen, work);
        if (work !== null && team !== null && (best === null || isPreferred(team, best.team)))
          best = { team, work };
      }
      if (best !== null) return this.slotOf(startsAt, best.team, best.work);
    }
    return null;
  }

  private teamFor(
    size: number,
    ranks: readonly number[],
    groups: readonly number[],
    work: Work,
  ): Team | null {
    const able: number[] = [];
    const candidates: Candidate[] = [];
    for (const rank of ranks) {
      const { shiftGroup, free } = this.people[rank] as PreparedPerson;
      const mask = this.masks.maskAt(rank, work.endsAt);
      if (mask === 0 || !groups.includes(shiftGroup) || !isFreeFor(work.pieces, free)) continue;
      able.push(rank);
      candidates.push({ mask, group: shiftGroup });
    }
    const team = firstTeam(candidates, size, this.masks.all, this.masks.separate, groups.length);
    return team === null ? null : this.teamOf(team.map((i) => able[i] as number));
  }

  private workAt(startsAt: number, groups: readonly number[], key: string): Work | null {
    const pieces = workPieces(
      this.shiftOf(groups, key),
      startsAt,
      this.workMs,
      this.prepared.workshop.vehicleStay,
      this.prepared.clock,
    );
    const endsAt = pieces?.at(-1)?.endsAt;
    if (pieces === null || endsAt === undefined || endsAt > this.question.untilAt) return null;
    const bayId = this.bayFor(startsAt, endsAt);
    return bayId === null || !this.isVehicleFree(startsAt, endsAt) ? null : { pieces, endsAt, bayId };
  }

  private shiftOf(groups: readonly number[], key: string): InstantSet {
    let shift = this.commonShift.get(key);
    if (shift === undefined) {
      shift = groups
        .map((group) => this.people.find(({ shiftGroup }) => shiftGroup === group)?.onShift ?? [])
        .reduce(intersectionOf);
      this.commonShift.set(key, shift);
    }
    return shift;
  }

  // people who can start, as places in the order of preference; none where they cannot do it all together
  private candidatesAt(startsAt: number, earliestEnd: number): number[] {
    const needsUntil = this.prepared.workshop.vehicleStay === 'not-at-all' ? earliestEnd : startsAt + 1;
    const ranks: number[] = [];
    let together = 0;
    for (let rank = 0; rank < this.people.length; rank++) {
      const { free } = this.people[rank] as PreparedPerson;
      const mask = this.masks.maskAt(rank, earliestEnd);
      if (mask === 0) continue;
      let place = this.personPlace[rank] as number;
      while (place < free.length && (free[place + 1] as number) <= startsAt) place += 2;
      this.personPlace[rank] = place;
      if (place >= free.length || (free[place] as number) > startsAt) continue;
      if ((free[place + 1] as number) < needsUntil) continue;
      ranks.push(rank);
      together |= mask;
    }
    return together === this.masks.all ? ranks : [];
  }

  private bayFor(startsAt: number, endsAt: number): string | null {
    const fromAt = startsAt - this.beforeMs;
    const untilAt = endsAt + this.afterMs;
    for (let i = 0; i < this.bays.length; i++) {
      const { id, free } = this.bays[i] as { id: string; free: InstantSet };
      let place = this.bayPlace[i] as number;
      while (place < free.length && (free[place + 1] as number) <= fromAt) place += 2;
      this.bayPlace[i] = place;
      if (place < free.length && (free[place] as number) <= fromAt && (free[place + 1] as number) >= untilAt)
        return id;
    }
    return null;
  }

  private isVehicleFree(startsAt: number, endsAt: number): boolean {
    const busy = this.vehicleBusy;
    const fromAt = startsAt - this.beforeMs;
    while (this.vehiclePlace < busy.length && (busy[this.vehiclePlace + 1] as number) <= fromAt)
      this.vehiclePlace += 2;
    return this.vehiclePlace >= busy.length || (busy[this.vehiclePlace] as number) >= endsAt + this.afterMs;
  }

  private teamOf(ranks: readonly number[]): Team {
    return { ranks, people: ranks.map((rank) => this.people[rank] as PreparedPerson) };
  }

  private slotOf(startsAt: number, team: Team, { pieces, endsAt, bayId }: Work): Slot {
    return {
      workshopId: this.prepared.workshop.id,
      bayId,
      technicianIds: team.people.map(({ technician }) => technician.id),
      startsAt,
      endsAt,
      bayFromAt: startsAt - this.beforeMs,
      bayUntilAt: endsAt + this.afterMs,
      pieces,
    };
  }
}

function isFreeFor(pieces: readonly Period[], free: InstantSet): boolean {
  let place = intervalEndingAfter(free, pieces[0]?.startsAt ?? 0);
  return pieces.every(({ startsAt, endsAt }) => {
    while (place < free.length && (free[place + 1] as number) <= startsAt) place += 2;
    return (
      place < free.length && (free[place] as number) <= startsAt && (free[place + 1] as number) >= endsAt
    );
  });
}

function isPreferred(a: Team, b: Team): boolean {
  const i = a.ranks.findIndex((rank, place) => rank !== b.ranks[place]);
  return i >= 0 && (a.ranks[i] as number) < (b.ranks[i] as number);
}

// all choices of one up to `most` of the groups
function subsets(groups: readonly number[], most: number): number[][] {
  let last: number[][] = groups.map((group) => [group]);
  const all = [...last];
  for (let size = 2; size <= most; size++) {
    last = last.flatMap((chosen) =>
      groups.filter((group) => group > (chosen.at(-1) ?? 0)).map((group) => [...chosen, group]),
    );
    all.push(...last);
  }
  return all;
}
