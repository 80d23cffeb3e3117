import { EpochDay, addDays, addMonths, fromEpochDay, toEpochDay } from '../../../core/shared/calendar-date';
import { kmFromMiles } from '../../../core/shared/units-of-measure';
import { CAST, isCast } from './cast';
import { DemoDepot, SKELMIRE, TARNHOLME, VALTARNE } from './depots';
import { latestLeapDay } from './latest-leap-day';
import { present } from './present';
import { NamedRandom } from './named-random';
import { TrueDistancePath, totalKmAtStartOf, trueDistancePath } from './true-distance-path';

export type DutyClass = 'standard' | 'urban-stop-start' | 'long-distance' | 'rough-road';

/** Who reports a vehicle's odometer. */
export type ReportedBy = 'telematics' | 'telematics-and-sheets' | 'sheets' | 'few-sheets' | 'nobody';

/** A change of duty, with the duty before it. */
export interface TrueDutyChange {
  on: EpochDay;
  before: DutyClass;
  after: DutyClass;
  rateFactor: number;
}

/** A vehicle of the demo fleet as it really is; the files tell only part of it. */
export interface DemoVehicle {
  number: number;
  externalKey: string;
  depot: DemoDepot;
  odometerUnit: 'km' | 'mi';
  /** The duty of today. */
  dutyClass: DutyClass;
  inServiceDay: EpochDay;
  inServiceOdometerKm: number;
  reportedBy: ReportedBy;
  hasHourMeter: boolean;
  kmPerEngineHour: number;
  dutyChange: TrueDutyChange | undefined;
  path: TrueDistancePath;
}

// statute miles a calendar day; the spread of daily use that lifetime odometers of real vehicles show
const LEAST_MILES_PER_DAY = 11;
const MOST_MILES_PER_DAY = 75;
const MEDIAN_MILES_PER_DAY: Readonly<Record<DutyClass, number>> = {
  standard: 24,
  'urban-stop-start': 17,
  'long-distance': 46,
  'rough-road': 22,
};

/** The sixty vehicles with their true use until the beginning of `today`. */
export function fleetVehicles(seed: number, today: EpochDay): DemoVehicle[] {
  return Array.from({ length: CAST.vehicleCount }, (_, index) => fleetVehicle(index + 1, seed, today));
}

function fleetVehicle(number: number, seed: number, today: EpochDay): DemoVehicle {
  const random = new NamedRandom(`${seed} vehicle ${number}`);
  const depot = depotOf(number);
  const dutyChange = dutyChangeOf(number, today);
  const dutyClass = dutyChange?.after ?? drawDutyClass(random);
  const inServiceDay = drawInServiceDay(number, today, random);
  const isNew = isCast(CAST.newVehicles, number);
  const secondHand = !isNew && number !== CAST.inServiceOnLeapDay && random.chance(0.1);
  const everyDay = isCast(CAST.nightDuty, number);
  const milesPerDay =
    MEDIAN_MILES_PER_DAY[dutyClass] * Math.exp(random.deviate(0, 0.28)) * (everyDay ? 1.5 : 1);
  const bounded = Math.min(MOST_MILES_PER_DAY, Math.max(LEAST_MILES_PER_DAY, milesPerDay));
  const initialKm = secondHand ? random.integer(18_000, 95_000) : random.integer(4, 60);
  const odometerUnit = depot === VALTARNE || random.chance(0.2) ? 'km' : 'mi';
  return {
    number,
    externalKey: vehicleKey(number),
    depot,
    odometerUnit,
    dutyClass,
    inServiceDay,
    inServiceOdometerKm: initialKm,
    reportedBy: reportedBy(number),
    hasHourMeter: isCast(CAST.hourMeter, number),
    kmPerEngineHour: 22 + 20 * random.next(),
    dutyChange,
    path: trueDistancePath(
      {
        zone: depot.zone,
        firstDay: inServiceDay,
        today,
        initialKm,
        kmPerDay: kmFromMiles(bounded),
        everyDay,
        layUps: everyDay || isNew ? [] : drawLayUps(today, random),
        ...(dutyChange && { dutyChange: { on: dutyChange.on, rateFactor: dutyChange.rateFactor } }),
      },
      random,
    ),
  };
}

/** Key of a vehicle in the operator's files. */
export function vehicleKey(number: number): string {
  return `TV-${String(number).padStart(2, '0')}`;
}

/** Mean true distance of the last year in service, km a calendar day. */
export function recentKmPerDay(vehicle: DemoVehicle, today: EpochDay): number {
  const from = Math.max(vehicle.inServiceDay, today - 365);
  return (
    (totalKmAtStartOf(vehicle.path, today) - totalKmAtStartOf(vehicle.path, from)) / Math.max(1, today - from)
  );
}

function depotOf(number: number): DemoDepot {
  if (number <= CAST.lastOfFirstDepot) return TARNHOLME;
  return number <= CAST.lastOfSecondDepot ? SKELMIRE : VALTARNE;
}

function drawDutyClass(random: NamedRandom): DutyClass {
  const draw = random.next();
  if (draw < 0.5) return 'standard';
  if (draw < 0.75) return 'urban-stop-start';
  return draw < 0.9 ? 'long-distance' : 'rough-road';
}

function dutyChangeOf(number: number, today: EpochDay): TrueDutyChange | undefined {
  const change = CAST.dutyChanges.find((each) => each.vehicle === number);
  return change && { ...change, on: today - change.daysAgo };
}

function drawInServiceDay(number: number, today: EpochDay, random: NamedRandom): EpochDay {
  const todayOn = fromEpochDay(today);
  if (number === CAST.inServiceOnLeapDay) return toEpochDay(latestLeapDay(addDays(todayOn, -400)));
  const newcomer = CAST.newVehicles.findIndex((each) => each === number);
  if (newcomer >= 0) {
    const monthsAgo = present([2, 5, 8][newcomer], 'age of a new vehicle');
    return toEpochDay(addMonths(todayOn, -monthsAgo)) - random.integer(0, 20);
  }
  if (number === CAST.taskDoneOnLeapDay) return toEpochDay(addMonths(todayOn, -75));
  // a fifth of the fleet is younger than the three years of readings
  const years = random.chance(0.2) ? 1.7 + 1.3 * random.next() : 3.2 + 5.5 * random.next();
  return today - Math.round(365.25 * years);
}

function drawLayUps(today: EpochDay, random: NamedRandom): { from: EpochDay; until: EpochDay }[] {
  const spells = random.chance(0.3) ? random.integer(1, 2) : 0;
  return Array.from({ length: spells }, () => {
    const from = today - random.integer(60, 1000);
    return { from, until: from + random.integer(10, 35) };
  });
}

function reportedBy(number: number): ReportedBy {
  if (isCast(CAST.noReadings, number)) return 'nobody';
  if (isCast(CAST.fewReadings, number)) return 'few-sheets';
  if (isCast(CAST.nightDuty, number) || number === CAST.newInstrument) return 'telematics-and-sheets';
  // by number, so that every depot has all kinds
  return present(
    (['telematics-and-sheets', 'sheets', 'telematics', 'sheets'] as const)[number % 4],
    'source',
  );
}
