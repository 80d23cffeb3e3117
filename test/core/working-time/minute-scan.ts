import { DateTime } from 'luxon';
import type { DayException, DayWindow, WeeklyWindows } from '../../../src/core/working-time/opening-pattern';
import type { Period } from '../../../src/core/working-time/instant-set';
import type {
  Bay,
  Job,
  NeededPerson,
  Slot,
  Technician,
  Workshop,
} from '../../../src/core/working-time/workshop';
import type { SlotQuestion } from '../../../src/core/working-time/find-slots';

// The second opinion on the slot search: it looks at each minute by itself, through the wall clock that luxon
// shows for it, and tries every team there is. It shares the shapes of the input with the search, and no code.

const MINUTE = 60_000;
const DAY = 1440;

interface LocalMinute {
  date: string;
  dateBefore: string;
  weekday: number;
  weekdayBefore: number;
  minuteOfDay: number;
}

/** Some days of one zone, minute by minute. All instants of a question must lie in them, half a day from the ends. */
export class MinuteScan {
  private readonly minutes: LocalMinute[] = [];

  constructor(
    readonly zone: string,
    readonly firstAt: number,
    days: number,
  ) {
    for (let i = 0; i < days * DAY; i++) {
      const local = DateTime.fromMillis(firstAt + i * MINUTE, { zone });
      const last = this.minutes.at(-1);
      const date = local.toISODate()!;
      const isSameDay = last?.date === date;
      const before = isSameDay ? null : local.minus({ days: 1 });
      this.minutes.push({
        date,
        dateBefore: before === null ? last!.dateBefore : before.toISODate()!,
        weekday: local.weekday,
        weekdayBefore: before === null ? last!.weekdayBefore : before.weekday,
        minuteOfDay: local.hour * 60 + local.minute,
      });
    }
  }

  slots(question: SlotQuestion): Slot[] {
    const shops = question.workshops.map((workshop) => new ShopScan(this, workshop, question));
    const found: Slot[] = [];
    for (let i = this.indexOf(question.fromAt); i < this.indexOf(question.untilAt); i++) {
      const here = shops.flatMap((shop) => shop.slotAt(i) ?? []);
      here.sort(
        (a, b) => a.technicianIds.length - b.technicianIds.length || (a.workshopId < b.workshopId ? -1 : 1),
      );
      found.push(...here);
      if (found.length >= question.count) break;
    }
    return found.slice(0, question.count);
  }

  indexOf(instant: number): number {
    return Math.round((instant - this.firstAt) / MINUTE);
  }

  instantOf(i: number): number {
    return this.firstAt + i * MINUTE;
  }

  localAt(i: number): LocalMinute {
    return this.minutes[i]!;
  }

  /** 1 for each minute of a stretch that lies in a window of its date, or in one over midnight of the date before. */
  minutesIn(
    from: number,
    until: number,
    windowsOf: (date: string, weekday: number) => readonly DayWindow[],
  ): Uint8Array {
    const marks = new Uint8Array(this.minutes.length);
    let date = '';
    let today: Uint8Array = marks;
    let sinceYesterday: Uint8Array = marks;
    for (let i = from; i < until; i++) {
      const local = this.minutes[i]!;
      if (local.date !== date) {
        date = local.date;
        today = wallClockMinutes(windowsOf(local.date, local.weekday)).today;
        sinceYesterday = wallClockMinutes(windowsOf(local.dateBefore, local.weekdayBefore)).nextDay;
      }
      marks[i] = today[local.minuteOfDay]! | sinceYesterday[local.minuteOfDay]!;
    }
    return marks;
  }

  marks(periods: readonly Period[]): Uint8Array {
    const marks = new Uint8Array(this.minutes.length);
    for (const { startsAt, endsAt } of periods) marks.fill(1, this.indexOf(startsAt), this.indexOf(endsAt));
    return marks;
  }
}

class ShopScan {
  private readonly bays: { bay: Bay; taken: Uint8Array; freeMinutes: number }[];
  private readonly people: { technician: Technician; onShift: Uint8Array; taken: Uint8Array; free: number }[];
  private readonly vehicleBusy: Uint8Array;
  private readonly from: number;
  private readonly until: number;
  private readonly before: number;
  private readonly after: number;
  private readonly job: Job;

  constructor(
    private readonly scan: MinuteScan,
    private readonly workshop: Workshop,
    question: SlotQuestion,
  ) {
    this.job = question.job;
    this.from = scan.indexOf(question.fromAt);
    this.until = scan.indexOf(question.untilAt);
    this.before = this.job.minutesBefore ?? workshop.minutesBefore;
    this.after = this.job.minutesAfter ?? workshop.minutesAfter;
    this.vehicleBusy = scan.marks(question.vehicleBusy);
    const open = scan.minutesIn(this.from, this.until, this.openingOn());
    this.bays = workshop.bays
      .map((bay) => {
        const taken = scan.marks([...bay.closures, ...bay.busy]);
        return { bay, taken, freeMinutes: this.count((i) => open[i] === 1 && taken[i] === 0) };
      })
      .sort((a, b) => a.freeMinutes - b.freeMinutes || (a.bay.id < b.bay.id ? -1 : 1));
    this.people = workshop.technicians
      .map((technician) => {
        const shifts = windowsBy(technician.shifts, technician.shiftExceptions);
        const onShift = scan.minutesIn(this.from, this.until, shifts).map((isOn, i) => isOn & open[i]!);
        const taken = scan.marks([...technician.absences, ...technician.busy]);
        const free = this.count((i) => onShift[i] === 1 && taken[i] === 0);
        return { technician, onShift, taken, free };
      })
      .sort((a, b) => a.free - b.free || (a.technician.id < b.technician.id ? -1 : 1));
  }

  slotAt(start: number): Slot | null {
    if (this.scan.localAt(start).minuteOfDay % this.workshop.gridMinutes !== 0) return null;
    const earliestEnd = start + this.job.minutes;
    if (earliestEnd > this.until || !this.bays.some((bay) => this.isFree(bay, start, earliestEnd)))
      return null;
    const needed = this.job.needed.length === 0 ? [{ competences: [] }] : this.job.needed;
    const present = this.people.filter(({ onShift, taken }) => onShift[start] === 1 && taken[start] === 0);
    for (let size = this.job.separatePeople ? needed.length : 1; size <= needed.length; size++) {
      for (const team of choices(present, size)) {
        const people = team.map(({ technician }) => technician);
        // who cannot do it alone now cannot later either
        if (size === 1 && !this.isAble(people, needed, start + 1)) continue;
        const minutes = this.workedMinutes(start, team);
        if (minutes === null) continue;
        const end = minutes.at(-1)! + 1;
        if (!this.isAble(people, needed, end)) continue;
        const bay = this.bays.find((one) => this.isFree(one, start, end));
        if (bay === undefined) continue;
        return {
          workshopId: this.workshop.id,
          bayId: bay.bay.id,
          technicianIds: people.map(({ id }) => id),
          startsAt: this.scan.instantOf(start),
          endsAt: this.scan.instantOf(end),
          bayFromAt: this.scan.instantOf(start - this.before),
          bayUntilAt: this.scan.instantOf(end + this.after),
          pieces: this.stretches(minutes),
        };
      }
      if (this.job.separatePeople) break;
    }
    return null;
  }

  // each minute in which the team works, null where the job cannot be done
  private workedMinutes(start: number, team: typeof this.people): number[] | null {
    const worked: number[] = [];
    let last = start;
    for (let i = start; worked.length < this.job.minutes; i++) {
      if (i >= this.until) return null;
      let [isWorking, isTaken] = [true, false];
      for (const { onShift, taken } of team) {
        if (onShift[i] === 0) isWorking = false;
        if (taken[i] === 1) isTaken = true;
      }
      if (!isWorking && this.workshop.vehicleStay === 'not-at-all') return null;
      if (!isWorking) continue;
      if (isTaken) return null;
      if (i > last + 1 && this.workshop.vehicleStay === 'over-breaks')
        if (this.scan.localAt(i).date !== this.scan.localAt(last).date) return null;
      worked.push(i);
      last = i;
    }
    return worked;
  }

  private isFree({ bay, taken }: (typeof this.bays)[number], start: number, end: number): boolean {
    if (this.job.bayKinds.some((kind) => !bay.kinds.includes(kind))) return false;
    for (let i = start - this.before; i < end + this.after; i++)
      if (taken[i] === 1 || this.vehicleBusy[i] === 1) return false;
    return true;
  }

  private stretches(minutes: readonly number[]): Period[] {
    const stretches: { startsAt: number; endsAt: number }[] = [];
    for (const i of minutes) {
      const startsAt = this.scan.instantOf(i);
      const last = stretches.at(-1);
      if (last?.endsAt === startsAt) last.endsAt += MINUTE;
      else stretches.push({ startsAt, endsAt: startsAt + MINUTE });
    }
    return stretches;
  }

  // can the team do all that is needed in work that ends with a minute, with nobody too many?
  private isAble(people: readonly Technician[], needed: readonly NeededPerson[], end: number): boolean {
    const mayDo = (person: Technician, { competences }: NeededPerson) =>
      competences.every((code) => this.isCompetent(person, code, end));
    if (this.job.separatePeople)
      return orders(people).some((order) => order.every((person, i) => mayDo(person, needed[i]!)));
    const areEnough = (some: readonly Technician[]) =>
      needed.every((need) => some.some((person) => mayDo(person, need)));
    return areEnough(people) && people.every((left) => !areEnough(people.filter((one) => one !== left)));
  }

  private isCompetent(person: Technician, code: string, end: number): boolean {
    const lastDate = this.scan.localAt(end - 1).date;
    return person.competences.some(
      (competence) =>
        competence.code === code && (competence.untilOn === null || lastDate < competence.untilOn),
    );
  }

  private openingOn() {
    const { weekly, holidaysOn = [], closedOn = [], exceptions = [] } = this.workshop.opening;
    return (date: string, weekday: number): readonly DayWindow[] => {
      if (closedOn.includes(date)) return [];
      const exception = exceptions.find(({ on }) => on === date);
      if (exception !== undefined) return exception.windows;
      return holidaysOn.includes(date) ? [] : (weekly[weekday] ?? []);
    };
  }

  private count(isCounted: (i: number) => boolean): number {
    let count = 0;
    for (let i = this.from; i < this.until; i++) if (isCounted(i)) count++;
    return count;
  }
}

function windowsBy(weekly: WeeklyWindows, exceptions: readonly DayException[]) {
  return (date: string, weekday: number): readonly DayWindow[] =>
    exceptions.find(({ on }) => on === date)?.windows ?? weekly[weekday] ?? [];
}

function choices<T>(items: readonly T[], size: number): T[][] {
  if (size === 0) return [[]];
  return items.flatMap((first, i) =>
    choices(items.slice(i + 1), size - 1).map((others) => [first, ...others]),
  );
}

function orders<T>(items: readonly T[]): T[][] {
  if (items.length === 0) return [[]];
  return items.flatMap((first, i) =>
    orders([...items.slice(0, i), ...items.slice(i + 1)]).map((others) => [first, ...others]),
  );
}

const wallClock = new Map<readonly DayWindow[], { today: Uint8Array; nextDay: Uint8Array }>();

// by minute of the day: windows that start on a date, and what of them is left on the next
function wallClockMinutes(windows: readonly DayWindow[]): { today: Uint8Array; nextDay: Uint8Array } {
  let minutes = wallClock.get(windows);
  if (minutes === undefined) {
    minutes = { today: new Uint8Array(DAY), nextDay: new Uint8Array(DAY) };
    for (const { from, until } of windows) {
      if (clock(until) > clock(from)) minutes.today.fill(1, clock(from), clock(until));
      else {
        minutes.today.fill(1, clock(from));
        minutes.nextDay.fill(1, 0, clock(until));
      }
    }
    wallClock.set(windows, minutes);
  }
  return minutes;
}

function clock(time: string): number {
  const [hours = '', minutes = ''] = time.split(':');
  return Number(hours) * 60 + Number(minutes);
}
