import { EpochDay } from '../../../core/shared/calendar-date';
import { dayStartAt } from './local-clock';
import { present } from './present';
import { weekdayOf } from './weekday-of';
import { NamedRandom } from './named-random';

/** What a vehicle really did, day by day, from its first day in service until the day before today. */
export interface TrueDistancePath {
  zone: string;
  firstDay: EpochDay;
  /** Kilometres since manufacture when each local day began; the last entry is the beginning of today. */
  totalKmAtDayStart: Float64Array;
  /** The rate behind the day's distance: drift, duty and wandering, without season, weekday or chance. */
  underlyingKmPerDay: Float64Array;
}

/** How a vehicle is used. */
export interface UsePattern {
  zone: string;
  firstDay: EpochDay;
  today: EpochDay;
  initialKm: number;
  /** Mean distance of a calendar day under the duty of today. */
  kmPerDay: number;
  /** Night-duty vehicles run every day alike and are never laid up. */
  everyDay: boolean;
  layUps: readonly { from: EpochDay; until: EpochDay }[];
  dutyChange?: { on: EpochDay; rateFactor: number };
}

// Monday to Friday full, Saturday half, Sunday little; the mean of a week is 1
const WEEKDAY_SHARE = [1.25, 1.25, 1.25, 1.25, 1.25, 0.5, 0.25];
// 20 January 1970; patient transport is busiest in winter
const MIDWINTER_DAY = 19;
const WANDER_DAYS = 120;
const WANDER_SPREAD = 0.18;

/** Draws a vehicle's distance path. The rate drifts, wanders, and follows season and weekday. */
export function trueDistancePath(use: UsePattern, random: NamedRandom): TrueDistancePath {
  const days = use.today - use.firstDay;
  const totalKmAtDayStart = new Float64Array(days + 1);
  const underlyingKmPerDay = new Float64Array(days);
  const driftPerYear = random.deviate(0, 0.05);
  const keep = Math.exp(-1 / WANDER_DAYS);
  const step = WANDER_SPREAD * Math.sqrt(1 - keep * keep);
  let wander = random.deviate(0, WANDER_SPREAD);
  let totalKm = use.initialKm;
  totalKmAtDayStart[0] = totalKm;
  for (let index = 0; index < days; index += 1) {
    const day = use.firstDay + index;
    wander = wander * keep + random.deviate(0, step);
    const drift = Math.exp((driftPerYear * (day - use.today)) / 365.25);
    const duty = use.dutyChange && day < use.dutyChange.on ? 1 / use.dutyChange.rateFactor : 1;
    const laidUp = use.layUps.some((spell) => day >= spell.from && day < spell.until);
    const underlying = laidUp ? 0 : use.kmPerDay * duty * drift * Math.exp(wander);
    const season = 1 + 0.08 * Math.cos((2 * Math.PI * (day - MIDWINTER_DAY)) / 365.2425);
    const weekday = use.everyDay ? 1 : present(WEEKDAY_SHARE[weekdayOf(day) - 1], 'weekday share');
    const chance = Math.max(0.15, random.deviate(1, 0.22));
    underlyingKmPerDay[index] = underlying;
    totalKm += underlying * season * weekday * chance;
    totalKmAtDayStart[index + 1] = totalKm;
  }
  return { zone: use.zone, firstDay: use.firstDay, totalKmAtDayStart, underlyingKmPerDay };
}

/** True distance since manufacture, km, when a day of the path began. */
export function totalKmAtStartOf(path: TrueDistancePath, day: EpochDay): number {
  return present(path.totalKmAtDayStart[day - path.firstDay], `day ${day} of the path`);
}

/** True distance since manufacture, km, at an instant of a day; within the day it grows evenly. */
export function totalKmAt(path: TrueDistancePath, day: EpochDay, instant: number): number {
  const [start, end] = [dayStartAt(day, path.zone), dayStartAt(day + 1, path.zone)];
  const [startKm, endKm] = [totalKmAtStartOf(path, day), totalKmAtStartOf(path, day + 1)];
  return startKm + ((instant - start) / (end - start)) * (endKm - startKm);
}

/**
 * First day at whose end the true distance has reached a total. Beyond today the mean of the last 180 days
 * (or of the days in service, if fewer; 1 km at least) carries on.
 */
export function dayOfReaching(path: TrueDistancePath, totalKm: number): EpochDay {
  const last = path.totalKmAtDayStart.length - 1;
  const lastKm = present(path.totalKmAtDayStart[last], 'last total');
  if (totalKm > lastKm) {
    const span = Math.min(180, last);
    const spanKm = lastKm - present(path.totalKmAtDayStart[last - span], 'total at the start of the span');
    return path.firstDay + last + Math.ceil((totalKm - lastKm) / Math.max(1, spanKm / Math.max(1, span)));
  }
  let [low, high] = [-1, last];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (present(path.totalKmAtDayStart[middle], 'total') >= totalKm) high = middle;
    else low = middle;
  }
  return path.firstDay + Math.max(0, high - 1);
}
