import { IANAZone } from 'luxon';
import { EpochDay, isTimeZone } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';

const MS_PER_MINUTE = 60_000;
const MS_PER_DAY = 86_400_000;
const MARGIN_MS = 4 * MS_PER_DAY;
// two changes of one zone lie further apart: a month at Ramadan is the shortest in use
const PROBE_MS = 7 * MS_PER_DAY;

/**
 * The wall clock of a zone over a range, with its changes looked up once: opening hours of many people over
 * many days need tens of thousands of conversions. Local times mean what `instantAtLocalTime` takes them to
 * mean when it is `compatible`: the first of a repeated time; a missing time moved on by the gap.
 *
 * Outside of the range (and four days around it) the offset at its nearest end is used.
 */
export class ZoneClock {
  // segment i lasts until changeAt[i]; local times (as if they were UTC) below localChange[i] are read in it
  private readonly changeAt: number[] = [];
  private readonly localChange: number[] = [];
  private readonly offsetMs: number[];
  private readonly clockZone: IANAZone;

  /**
   * @param zone IANA name
   * @param fromAt start of the range, milliseconds since the epoch
   * @param untilAt end of the range
   * @throws InputError when the zone is unknown
   */
  constructor(
    readonly zone: string,
    fromAt: number,
    untilAt: number,
  ) {
    if (!isTimeZone(zone))
      throw new InputError('zone', `"${zone}" is not a time zone`, 'give an IANA name such as Europe/London');
    this.clockZone = IANAZone.create(zone);
    let at = fromAt - MARGIN_MS;
    let offset = this.readOffset(at);
    this.offsetMs = [offset];
    for (; at < untilAt + MARGIN_MS; at += PROBE_MS) {
      const next = this.readOffset(at + PROBE_MS);
      if (next === offset) continue;
      const change = this.changeBetween(at, at + PROBE_MS);
      this.changeAt.push(change);
      this.localChange.push(change + Math.max(offset, next));
      this.offsetMs.push(next);
      offset = next;
    }
  }

  /** Number of the day that the wall clock shows. */
  localDayAt(instant: number): EpochDay {
    return Math.floor((instant + this.offsetAt(instant)) / MS_PER_DAY);
  }

  /** The instant of a local time; `minuteOfDay` from 0, 1440 is the end of the day. */
  instantOf(day: EpochDay, minuteOfDay: number): number {
    const asIfUtc = day * MS_PER_DAY + minuteOfDay * MS_PER_MINUTE;
    let segment = 0;
    while (segment < this.localChange.length && asIfUtc >= (this.localChange[segment] as number)) segment++;
    return asIfUtc - (this.offsetMs[segment] as number);
  }

  /** False for a day that the zone left out when it crossed the date line. */
  hasDay(day: EpochDay): boolean {
    const [first, end] = [day * MS_PER_DAY, (day + 1) * MS_PER_DAY];
    return !this.changeAt.some(
      (change, i) =>
        change + (this.offsetMs[i] as number) <= first && end <= change + (this.offsetMs[i + 1] as number),
    );
  }

  /**
   * The first instant at or after the given one at which the wall clock shows a multiple of the grid since
   * midnight.
   *
   * @param gridMs milliseconds; divides a day without rest
   */
  gridPointFrom(instant: number, gridMs: number): number {
    const segment = this.segmentAt(instant);
    const offset = this.offsetMs[segment] as number;
    const point = Math.ceil((instant + offset) / gridMs) * gridMs - offset;
    const change = this.changeAt[segment];
    return change === undefined || point < change ? point : this.gridPointFrom(change, gridMs);
  }

  private offsetAt(instant: number): number {
    return this.offsetMs[this.segmentAt(instant)] as number;
  }

  private segmentAt(instant: number): number {
    let segment = 0;
    while (segment < this.changeAt.length && instant >= (this.changeAt[segment] as number)) segment++;
    return segment;
  }

  private readOffset(instant: number): number {
    return Math.round(this.clockZone.offset(instant) * MS_PER_MINUTE);
  }

  // the first instant with the later offset; clocks change on whole seconds
  private changeBetween(before: number, after: number): number {
    const offsetBefore = this.readOffset(before);
    let [low, high] = [Math.floor(before / 1000), Math.ceil(after / 1000)];
    while (high - low > 1) {
      const middle = Math.floor((low + high) / 2);
      if (this.readOffset(middle * 1000) === offsetBefore) low = middle;
      else high = middle;
    }
    return high * 1000;
  }
}
