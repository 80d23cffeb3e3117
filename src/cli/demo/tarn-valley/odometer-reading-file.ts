import { EpochDay, toEpochDay } from '../../../core/shared/calendar-date';
import { clockChangeOccasions } from './clock-change-readings';
import { csvText } from './csv-text';
import { FaultTruth, ClockChangeTruth } from './fleet-truth';
import { DemoVehicle } from './fleet-vehicles';
import { instantWithinDay, localInstantText, dayStartAt } from './local-clock';
import { present } from './present';
import { SpoiledReading, spoiledReadings } from './reading-faults';
import { ReadVisit } from './service-history-list';
import { InstrumentChange } from './shown-odometer';
import { DemoReading, sheetReadings, telematicsReadings, workshopReadings } from './true-readings';

export const READING_COLUMNS = [
  'externalKey',
  'vehicleKey',
  'readAt',
  'value',
  'unit',
  'source',
  'meter',
] as const;

/** The file of odometer readings, with what is wrong in it. */
export interface OdometerReadingFile {
  text: string;
  rows: number;
  faults: FaultTruth[];
  clockChanges: ClockChangeTruth[];
}

const KEY_PREFIX: Readonly<Record<DemoReading['source'], string>> = {
  telematics: 'TM',
  workshop: 'WS',
  'driver-sheet': 'DS',
};

/**
 * The readings of three sources, one after the other and each by time, as three exports pasted together.
 * Lines end in LF. The mistakes of the sheets are in it.
 */
export function odometerReadingFile(
  vehicles: readonly DemoVehicle[],
  visits: readonly ReadVisit[],
  change: InstrumentChange,
  seed: number,
  today: EpochDay,
): OdometerReadingFile {
  const occasions = clockChangeOccasions(vehicles, today);
  const readings = [
    ...byTime(
      vehicles.flatMap((vehicle) => {
        const own = occasions.filter((occasion) => occasion.vehicle === vehicle);
        return telematicsReadings(vehicle, change, own, seed, today);
      }),
    ),
    ...byTime(workshopReadings(visits, change, seed, today)),
    ...byTime(vehicles.flatMap((vehicle) => sheetReadings(vehicle, change, seed, today))),
  ];
  const numbers = new Map<string, number>();
  for (const reading of readings) {
    const next = (numbers.get(reading.source) ?? 0) + 1;
    numbers.set(reading.source, next);
    reading.externalKey = `${KEY_PREFIX[reading.source]}-${String(next).padStart(5, '0')}`;
  }
  const spoiled = spoiledReadings(readings, seed, today);
  const { text, rows, faults } = spoiledText(readings, spoiled);
  return {
    text,
    rows,
    faults,
    clockChanges: occasions.map((occasion) => clockChangeTruth(occasion, readings)),
  };
}

function spoiledText(
  readings: readonly DemoReading[],
  spoiled: readonly SpoiledReading[],
): { text: string; rows: number; faults: FaultTruth[] } {
  const faultOf = new Map(spoiled.map((each) => [each.reading, each]));
  const rows = readings.map((reading) => readingRow(reading, faultOf.get(reading)));
  // no field holds a line break, so every row is one line
  const [header = '', ...lines] = csvText(READING_COLUMNS, rows).trimEnd().split('\n');
  for (const [index, reading] of readings.entries()) {
    const fault = faultOf.get(reading);
    // what RFC 4180 does not allow is put in by hand
    if (fault && isMalformed(fault)) {
      lines[index] = present(lines[index], 'line').replace(`,${reading.value},`, `,${fault.givenValue},`);
    }
  }
  const faults: FaultTruth[] = [];
  for (const { fault, reading, givenValue, givenOn } of spoiled) {
    const index = readings.indexOf(reading);
    if (fault === 'duplicate-row') lines.push(present(lines[index], 'line'));
    faults.push({
      fault,
      // the header is line 1; of a repeated row the second is the one too many
      line: fault === 'duplicate-row' ? lines.length + 1 : index + 2,
      externalKey: reading.externalKey,
      vehicleKey: reading.vehicle.externalKey,
      trueReadAt: localInstantText(reading.readAt, reading.vehicle.depot.zone),
      trueValue: reading.value,
      givenReadAt: localInstantText(givenInstant(reading, givenOn), reading.vehicle.depot.zone),
      givenValue,
      unit: reading.unit,
    });
  }
  return { text: `${header}\n${lines.join('\n')}\n`, rows: lines.length, faults };
}

function readingRow(reading: DemoReading, spoiled: SpoiledReading | undefined): string[] {
  const { vehicle } = reading;
  const readAt = spoiled ? givenInstant(reading, spoiled.givenOn) : reading.readAt;
  return [
    reading.externalKey,
    vehicle.externalKey,
    localInstantText(readAt, vehicle.depot.zone),
    spoiled && !isMalformed(spoiled) ? spoiled.givenValue : reading.value,
    reading.unit,
    reading.source,
    reading.meter,
  ];
}

function isMalformed({ fault }: SpoiledReading): boolean {
  return fault === 'wrong-column-count' || fault === 'bare-quote';
}

function givenInstant(reading: DemoReading, givenOn: string): number {
  const { zone } = reading.vehicle.depot;
  const day = toEpochDay(givenOn);
  if (day === reading.day) return reading.readAt;
  const start = dayStartAt(reading.day, zone);
  return instantWithinDay(day, (reading.readAt - start) / (dayStartAt(reading.day + 1, zone) - start), zone);
}

function byTime(readings: readonly DemoReading[]): DemoReading[] {
  return [...readings].sort(
    (a, b) =>
      a.readAt - b.readAt || a.vehicle.number - b.vehicle.number || a.meter.localeCompare(b.meter, 'en'),
  );
}

function clockChangeTruth(
  occasion: ReturnType<typeof clockChangeOccasions>[number],
  readings: readonly DemoReading[],
): ClockChangeTruth {
  const reading = present(
    readings.find(
      ({ vehicle, readAt, meter }) =>
        vehicle === occasion.vehicle && readAt === occasion.readAt && meter === 'odometer',
    ),
    'reading around a clock change',
  );
  return {
    externalKey: reading.externalKey,
    vehicleKey: occasion.vehicle.externalKey,
    zone: occasion.change.zone,
    changeAt: new Date(occasion.change.changeAt).toISOString(),
    direction: occasion.change.direction,
    when: occasion.when,
    readAt: localInstantText(occasion.readAt, occasion.change.zone),
  };
}
