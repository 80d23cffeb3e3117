import { assert } from '../../core/shared/assert';
import { localDateAt, toEpochDay, type EpochDay } from '../../core/shared/calendar-date';
import { formatInstant } from '../../core/shared/instant';
import { milesFromKm } from '../../core/shared/units-of-measure';
import { inTrackUnit, meterTrack, type ReadingUnit } from '../../core/usage/meter-track';
import { offRoadCalendar, type OffRoadInterval } from '../../core/usage/off-road';
import {
  judgeReading,
  ROUNDING_TOLERANCE,
  type EnteredReading,
  type Judgement,
} from '../../core/usage/plausibility';
import { estimateUsage, forecastUsage, WINDOW_DAYS } from '../../core/usage/usage-estimate';
import type { MeterUnit, UsageForecast } from '../../core/usage/usage-forecast';
import { DEFAULT_DAILY_MAXIMUM, defaultUsageModel } from '../../core/usage/usage-model';
import type { HistoryReplacement, Meter, VehicleHistory } from './vehicle-history';

/** What a judgement leaves on file. */
export interface ReadingFindings {
  state: 'accepted' | 'quarantined';
  suspicions: { code: string; explanation: string }[] | null;
  /** in the unit of the reading */
  suggestedValue: number | null;
}

interface Instrument {
  fromAt: number;
  untilAt: number;
  /** what is added to its value to give the total */
  offset: number;
  /** its first and last value, where a replacement recorded them */
  first: EnteredReading | null;
  last: EnteredReading | null;
}

/** A reading as it is to be judged. */
export interface GivenReading {
  value: number;
  unit: ReadingUnit;
  at: number;
  source: string;
}

/** Sources that send what an instrument says without anybody typing it. */
const MACHINE_SOURCES: ReadonlySet<string> = new Set(['telematics']);

/** Judges the readings of one meter of one vehicle against those that are accepted so far. */
export class MeterJudge {
  private readonly accepted: EnteredReading[];
  private readonly replacements: HistoryReplacement[];
  private readonly instruments: Instrument[];
  private readonly offRoad: OffRoadInterval[];
  private readonly unit: MeterUnit;
  /** the highest of each day, by day: all that a track is made of, however many readings there are */
  private readonly daily: EnteredReading[] = [];

  constructor(
    private readonly history: VehicleHistory,
    private readonly meter: Meter,
    private readonly now: number,
  ) {
    this.unit = meter === 'odometer' ? 'km' : 'h';
    this.accepted = history.readings
      .filter((reading) => reading[4] === meter)
      .map(([at, day, value, unit]) => ({ at, day, value, unit }));
    this.replacements = history.replacements.filter((replacement) => replacement.meter === meter);
    this.instruments = instrumentsOf(this.replacements);
    this.offRoad = history.offRoad.map(([fromDay, untilDay]) => ({ fromDay, untilDay }));
    for (const reading of this.accepted) this.keepOfDay(reading);
  }

  /** The reading on the local day on which it was taken. */
  entered({ value, unit, at, source }: GivenReading): EnteredReading {
    const day = toEpochDay(localDateAt(at, this.history.zone));
    return { value, unit, at, day, typedByHand: !MACHINE_SOURCES.has(source) };
  }

  judge(reading: EnteredReading): Judgement {
    const instrument = this.instrumentOf(reading);
    return judgeReading(reading, {
      now: this.now,
      accepted: this.neighboursOf(reading, instrument),
      dailyMaximum: DEFAULT_DAILY_MAXIMUM[this.unit],
      forecast: this.forecastFor(reading),
      instrumentOffset: instrument.offset,
    });
  }

  /** Holds the values of a replacement that is in the history against the accepted readings around it. */
  judgeReplacement(at: number): { oldFinal: Judgement; newInitial: Judgement } {
    const index = this.instruments.findIndex(({ fromAt }) => fromAt === at);
    const [oldOne, newOne] = [this.instruments[index - 1], this.instruments[index]];
    const [oldFinal, newInitial] = [oldOne?.last, newOne?.first];
    assert(oldOne != null && newOne != null && oldFinal != null && newInitial != null, 'a known replacement');
    const about = { now: this.now, dailyMaximum: DEFAULT_DAILY_MAXIMUM[this.unit] };
    return {
      oldFinal: judgeReading(oldFinal, {
        ...about,
        accepted: this.readingsOf(oldOne).filter((reading) => reading !== oldFinal),
      }),
      newInitial: judgeReading(newInitial, {
        ...about,
        accepted: this.readingsOf(newOne).filter((reading) => reading !== newInitial),
      }),
    };
  }

  /** The first two readings of one instrument of which the later is lower, in words; null for none. */
  firstFall(): { before: string; after: string } | null {
    for (const instrument of this.instruments) {
      let before: EnteredReading | undefined;
      for (const reading of this.readingsOf(instrument)) {
        if (before !== undefined && inTrackUnit(reading.value, reading.unit) < floorOf(before)) {
          return { before: inWords(before), after: inWords(reading) };
        }
        before = reading;
      }
    }
    return null;
  }

  /** From now on the reading counts. */
  accept(reading: EnteredReading): void {
    const place = this.accepted.findLastIndex(({ at }) => at <= reading.at);
    this.accepted.splice(place + 1, 0, reading);
    this.keepOfDay(reading);
  }

  // On the day of a replacement two instruments are read, of which each says something of its own.
  private keepOfDay(reading: EnteredReading): void {
    const place = this.daily.findLastIndex(({ day }) => day <= reading.day);
    const ofDay = this.daily[place];
    if (ofDay?.day !== reading.day || this.replacements.some(({ day }) => day === reading.day))
      this.daily.splice(place + 1, 0, reading);
    else if (inTrackUnit(reading.value, reading.unit) > inTrackUnit(ofDay.value, ofDay.unit))
      this.daily[place] = reading;
  }

  // Somebody who notes the old instrument's last value notes the instant of the replacement with it.
  private instrumentOf(reading: EnteredReading): Instrument {
    const index = this.instruments.findIndex(({ untilAt }) => reading.at < untilAt);
    const instrument = this.instruments[index];
    assert(instrument !== undefined, 'the last instrument has no end');
    const previous = this.instruments[index - 1];
    if (previous?.last == null || instrument.first === null || reading.at !== instrument.fromAt)
      return instrument;
    const distanceTo = (bound: EnteredReading): number =>
      Math.abs(inTrackUnit(bound.value, bound.unit) - inTrackUnit(reading.value, reading.unit));
    return distanceTo(previous.last) < distanceTo(instrument.first) ? previous : instrument;
  }

  // Those of one instrument at the nearest instants before and after: judging looks at no others.
  private neighboursOf(reading: EnteredReading, instrument: Instrument): EnteredReading[] {
    const { first, last } = instrument;
    const found = [first, last].filter((bound) => bound !== null);
    const start = this.accepted.findLastIndex(({ at }) => at <= reading.at);
    for (const step of [-1, 1]) {
      let nearestAt: number | null = null;
      for (let index = step < 0 ? start : start + 1; ; index += step) {
        const other = this.accepted[index];
        if (other === undefined || other.at < instrument.fromAt || other.at > instrument.untilAt) break;
        if (nearestAt !== null && other.at !== nearestAt) break;
        if (this.instrumentOf(other) !== instrument) continue;
        nearestAt = other.at;
        found.push(other);
      }
    }
    return found;
  }

  // in the order of their instants, the recorded first and last value included
  private readingsOf(instrument: Instrument): EnteredReading[] {
    const own = this.accepted.filter(
      (reading) =>
        reading.at >= instrument.fromAt &&
        reading.at <= instrument.untilAt &&
        this.instrumentOf(reading) === instrument,
    );
    return [
      ...(instrument.first === null ? [] : [instrument.first]),
      ...own,
      ...(instrument.last === null ? [] : [instrument.last]),
    ];
  }

  // From earlier readings alone: what came later would make any reading look likely.
  private forecastFor(reading: EnteredReading): UsageForecast | null {
    const until = this.accepted.findLastIndex(({ at }) => at < reading.at);
    const newest = this.accepted[until];
    if (newest === undefined) return null;
    const recent: EnteredReading[] = [];
    // that day as far as it had gone, the days before it as a whole
    for (let index = until; this.accepted[index]?.day === newest.day; index--)
      recent.push(this.accepted[index] as EnteredReading);
    for (let index = this.daily.length - 1; index >= 0; index--) {
      const ofDay = this.daily[index] as EnteredReading;
      if (ofDay.day < newest.day - WINDOW_DAYS) break;
      if (ofDay.day < newest.day) recent.push(ofDay);
    }
    const changes = this.history.dutyChanges.filter(([day]) => day <= reading.day);
    const dutyClass = changes.at(-1)?.[1] ?? this.history.dutyClass;
    const model = this.history.models[`${this.meter} ${dutyClass}`] ?? defaultUsageModel(this.unit);
    const estimate = estimateUsage(
      {
        track: meterTrack(
          recent.map((one, index) => ({ id: String(index), ...one })),
          this.replacements.filter(({ at }) => at <= reading.at),
        ),
        dutyChangeDays: changes.map(([day]) => day),
        offRoad: this.offRoad,
        statedPerYear: this.meter === 'odometer' ? this.history.statedYearlyDistanceKm : null,
      },
      model,
    );
    const forecast = forecastUsage(estimate, model);
    return forecast === null ? null : this.withoutOffRoadDays(forecast, reading.day);
  }

  // Days that the vehicle is known to have stood bring it no further.
  private withoutOffRoadDays(forecast: UsageForecast, day: EpochDay): UsageForecast {
    const calendar = offRoadCalendar(this.offRoad);
    const onRoadDays = calendar.onRoadDay(day) - calendar.onRoadDay(forecast.originDay);
    return { ...forecast, originDay: day - onRoadDays };
  }
}

/** What is stored of a judgement of a reading. */
export function findingsOf(judgement: Judgement, unit: ReadingUnit): ReadingFindings {
  const { verdict, suspicions, sentences, suggested } = judgement;
  return {
    state: verdict,
    suspicions:
      suspicions.length === 0
        ? null
        : suspicions.map((code, index) => ({ code, explanation: sentences[index] ?? '' })),
    suggestedValue: suggested === null ? null : inUnit(suggested.value, suggested.unit, unit),
  };
}

// to a tenth, like the instruments with the finest scale
function inUnit(value: number, from: ReadingUnit, to: ReadingUnit): number {
  if (from === to) return value;
  const km = inTrackUnit(value, from);
  return Math.round((to === 'mi' ? milesFromKm(km) : km) * 10) / 10;
}

function instrumentsOf(replacements: readonly HistoryReplacement[]): Instrument[] {
  let current: Instrument = { fromAt: -Infinity, untilAt: Infinity, offset: 0, first: null, last: null };
  const instruments = [current];
  for (const { at, day, oldFinalValue, oldUnit, newInitialValue, newUnit } of replacements) {
    current.untilAt = at;
    current.last = { value: oldFinalValue, unit: oldUnit, at, day };
    const first = { value: newInitialValue, unit: newUnit, at, day };
    // old final value + (new value - new initial value)
    const offset =
      current.offset + inTrackUnit(oldFinalValue, oldUnit) - inTrackUnit(newInitialValue, newUnit);
    current = { fromAt: at, untilAt: Infinity, offset, first, last: null };
    instruments.push(current);
  }
  return instruments;
}

function floorOf({ value, unit }: EnteredReading): number {
  return inTrackUnit(value - ROUNDING_TOLERANCE, unit);
}

function inWords({ value, unit, at }: EnteredReading): string {
  return `${value} ${unit} of ${formatInstant(at)}`;
}
