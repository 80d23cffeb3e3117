import { EpochDay, addMonths, fromEpochDay, toEpochDay } from '../../../core/shared/calendar-date';
import { kmFromMiles } from '../../../core/shared/units-of-measure';
import { DemoVehicle } from './fleet-vehicles';
import { instantWithinDay } from './local-clock';
import { ReadVisit } from './service-history-list';
import { NamedRandom } from './named-random';
import { isWorkingDay } from './weekday-of';
import { InstrumentChange, roundDown, shownEngineHours, shownOdometer } from './shown-odometer';

/** A reading as it would stand in the file if nobody had made a mistake. */
export interface DemoReading {
  externalKey: string;
  vehicle: DemoVehicle;
  day: EpochDay;
  readAt: number;
  value: string;
  unit: 'km' | 'mi' | 'h';
  source: 'telematics' | 'workshop' | 'driver-sheet';
  meter: 'odometer' | 'engine-hours';
}

interface Occasion {
  day: EpochDay;
  readAt: number;
}

/** Readings begin this long before today. */
const RECORD_MONTHS = 36;

/** Weekly readings by telematics, always in km, with outages; hours once a month where there is a meter. */
export function telematicsReadings(
  vehicle: DemoVehicle,
  change: InstrumentChange,
  extra: readonly Occasion[],
  seed: number,
  today: EpochDay,
): DemoReading[] {
  if (!vehicle.reportedBy.startsWith('telematics')) return [];
  const random = new NamedRandom(`${seed} telematics ${vehicle.number}`);
  const outages = drawGaps(random, 0.5, [25, 70], today);
  const occasions: Occasion[] = [...extra];
  const readings: DemoReading[] = [];
  let nextHours = 0;
  let day = recordStart(vehicle, today) + random.integer(0, 6);
  while (day < today) {
    const occasion = occasionOn(day, random.next(), vehicle);
    if (!outages.some((gap) => day >= gap.from && day < gap.until)) {
      occasions.push(occasion);
      if (vehicle.hasHourMeter && day >= nextHours) {
        readings.push(hoursReading(vehicle, occasion));
        nextHours = day + 28;
      }
    }
    day += Math.max(5, Math.min(10, Math.round(random.deviate(7, 0.8))));
  }
  readings.push(
    ...occasions.map((occasion): DemoReading => {
      const shown = shownOdometer(vehicle, change, occasion.day, occasion.readAt);
      const km = vehicle.odometerUnit === 'mi' ? kmFromMiles(shown) : shown;
      const value = roundDown(km, 1).toFixed(1);
      return {
        ...occasion,
        externalKey: '',
        vehicle,
        value,
        unit: 'km',
        source: 'telematics',
        meter: 'odometer',
      };
    }),
  );
  return readings;
}

/** The odometer as read at most workshop visits, in the vehicle's own unit. */
export function workshopReadings(
  visits: readonly ReadVisit[],
  change: InstrumentChange,
  seed: number,
  today: EpochDay,
): DemoReading[] {
  const random = new NamedRandom(`${seed} workshop`);
  return visits
    .filter(({ vehicle }) => vehicle.reportedBy !== 'nobody' && vehicle.reportedBy !== 'few-sheets')
    .filter(({ vehicle, day }) => day >= recordStart(vehicle, today))
    .filter(() => random.chance(0.8))
    .map(({ vehicle, day, readAt }) => wholeReading(vehicle, change, { day, readAt }, 'workshop'));
}

/** Monthly readings by hand on the driver's sheet, with months forgotten and longer gaps. */
export function sheetReadings(
  vehicle: DemoVehicle,
  change: InstrumentChange,
  seed: number,
  today: EpochDay,
): DemoReading[] {
  if (vehicle.reportedBy === 'telematics' || vehicle.reportedBy === 'nobody') return [];
  const random = new NamedRandom(`${seed} sheets ${vehicle.number}`);
  const few = vehicle.reportedBy === 'few-sheets';
  const gaps = drawGaps(random, 0.35, [60, 130], today);
  const readings: DemoReading[] = [];
  const firstOfMonth = toEpochDay(`${fromEpochDay(today).slice(0, 7)}-01`);
  for (let monthsAgo = few ? 1 : RECORD_MONTHS; monthsAgo >= 0; monthsAgo -= 1) {
    let day = toEpochDay(addMonths(fromEpochDay(firstOfMonth), -monthsAgo)) + random.integer(0, 5);
    while (!isWorkingDay(day)) day += 1;
    // typed in after the shift, to the minute
    const minuteOfDay = 16 * 60 + random.integer(0, 180);
    const forgotten = random.chance(0.1) || gaps.some((gap) => day >= gap.from && day < gap.until);
    if (day < recordStart(vehicle, today) || day >= today || (forgotten && !few)) continue;
    readings.push(
      wholeReading(vehicle, change, occasionOn(day, minuteOfDay / 1440, vehicle), 'driver-sheet'),
    );
  }
  return readings;
}

function wholeReading(
  vehicle: DemoVehicle,
  change: InstrumentChange,
  occasion: Occasion,
  source: DemoReading['source'],
): DemoReading {
  const value = String(roundDown(shownOdometer(vehicle, change, occasion.day, occasion.readAt), 0));
  return {
    ...occasion,
    externalKey: '',
    vehicle,
    value,
    unit: vehicle.odometerUnit,
    source,
    meter: 'odometer',
  };
}

function hoursReading(vehicle: DemoVehicle, occasion: Occasion): DemoReading {
  const value = roundDown(shownEngineHours(vehicle, occasion.day, occasion.readAt), 1).toFixed(1);
  return {
    ...occasion,
    externalKey: '',
    vehicle,
    value,
    unit: 'h',
    source: 'telematics',
    meter: 'engine-hours',
  };
}

function occasionOn(day: EpochDay, share: number, vehicle: DemoVehicle): Occasion {
  return { day, readAt: instantWithinDay(day, share, vehicle.depot.zone) };
}

function recordStart(vehicle: DemoVehicle, today: EpochDay): EpochDay {
  return Math.max(vehicle.inServiceDay, toEpochDay(addMonths(fromEpochDay(today), -RECORD_MONTHS)));
}

function drawGaps(
  random: NamedRandom,
  probability: number,
  [shortest, longest]: readonly [number, number],
  today: EpochDay,
): { from: EpochDay; until: EpochDay }[] {
  if (!random.chance(probability)) return [];
  return Array.from({ length: random.integer(1, 2) }, () => {
    const from = today - random.integer(100, 1000);
    return { from, until: from + random.integer(shortest, longest) };
  });
}
