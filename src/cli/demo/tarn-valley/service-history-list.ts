import { UNIT_POSITIONS } from '../../../core/hydraulics/unit-positions';
import { EpochDay, addDays, fromEpochDay, toEpochDay } from '../../../core/shared/calendar-date';
import { ASSUMED_SERVICE_PLAN } from './assumed-service-plan';
import { CAST } from './cast';
import { DemoVehicle } from './fleet-vehicles';
import { LayoutRecord, hasAntiSinkValves, hasRearBrakeAccumulator } from './hydraulic-layout-list';
import { latestLeapDay } from './latest-leap-day';
import { instantWithinDay } from './local-clock';
import { groupedBy } from './grouped-by';
import { present } from './present';
import { NamedRandom } from './named-random';
import { ServiceVisit } from './service-visits';
import { InstrumentChange, roundDown, shownEngineHours, shownOdometer } from './shown-odometer';

export const HISTORY_COLUMNS = [
  'externalKey',
  'vehicleKey',
  'task',
  'position',
  'doneOn',
  'odometer',
  'odometerUnit',
  'engineHours',
  'doneBy',
  'note',
] as const;

/** A visit with the instant at which the instruments were read. */
export interface ReadVisit extends ServiceVisit {
  readAt: number;
}

/** Note of a single unit that was recharged at a visit. */
export const RECHARGED_NOTE = 'recharged and tested again';

const NOTES = [
  'slight seepage at a return pipe, wiped, look again',
  'customer said "rides hard", nothing found',
  'hose replaced; system bled',
  'fluid dark, changed early\nfilter had fine grey dust',
  'cap and breather cleaned',
  'left waiting two days for a ramp',
  'pump cut in often at idle, leak at a return union, tightened',
];

/** Adds the completion of a 29 February, and gives every visit the instant of its readings. */
export function readVisits(
  visits: readonly ServiceVisit[],
  vehicles: readonly DemoVehicle[],
  seed: number,
  today: EpochDay,
): ReadVisit[] {
  const random = new NamedRandom(`${seed} visit instants`);
  const vehicle = present(
    vehicles.find(({ number }) => number === CAST.taskDoneOnLeapDay),
    'vehicle of the leap day',
  );
  const day = toEpochDay(latestLeapDay(addDays(fromEpochDay(today), -400)));
  const inspection = present(
    ASSUMED_SERVICE_PLAN.find(({ name }) => name === 'inspection'),
    'inspection',
  );
  const all = visits.some((visit) => visit.vehicle === vehicle && visit.day === day)
    ? visits
    : [...visits, { vehicle, day, packages: new Set([inspection]) }];
  return [...all]
    .sort((a, b) => a.day - b.day || a.vehicle.number - b.vehicle.number)
    .map((visit) => ({
      ...visit,
      readAt: instantWithinDay(visit.day, 0.36 + 0.3 * random.next(), visit.vehicle.depot.zone),
    }));
}

/** The rows of the service history, by date, in the order of `HISTORY_COLUMNS`. */
export function serviceHistoryRows(
  visits: readonly ReadVisit[],
  layouts: readonly LayoutRecord[],
  change: InstrumentChange,
  seed: number,
): string[][] {
  const random = new NamedRandom(`${seed} history`);
  const layoutOf = new Map(layouts.map((record) => [record.vehicleKey, record]));
  const retested = singleRetests(visits, random);
  const rows: string[][] = [];
  for (const visit of visits) {
    const { vehicle, day, readAt } = visit;
    const key = vehicle.externalKey;
    const unread = random.chance(0.1);
    const odometer = unread ? '' : String(roundDown(shownOdometer(vehicle, change, day, readAt), 0));
    const hours =
      vehicle.hasHourMeter && !unread ? roundDown(shownEngineHours(vehicle, day, readAt), 1).toFixed(1) : '';
    const doneBy = random.chance(0.08)
      ? 'outside workshop W2'
      : `technician T${String(random.integer(1, 14)).padStart(2, '0')}`;
    const note = random.chance(0.12) ? random.pick(NOTES) : '';
    const done = [...visit.packages]
      .flatMap(({ tasks }) => tasks)
      .flatMap((task) => positionsOf(task, layoutOf.get(key)));
    const extra = retested.get(visit);
    if (extra !== undefined) done.push(['precharge-test', extra]);
    for (const [index, [task, position]] of done.entries()) {
      const remark =
        position === extra && index === done.length - 1 ? RECHARGED_NOTE : index === 0 ? note : '';
      rows.push([
        `SH-${String(rows.length + 1).padStart(5, '0')}`,
        key,
        task,
        position,
        fromEpochDay(day),
        odometer,
        odometer === '' ? '' : vehicle.odometerUnit,
        hours,
        doneBy,
        remark,
      ]);
    }
  }
  return rows;
}

function positionsOf(task: string, layout: LayoutRecord | undefined): [string, string][] {
  if (task === 'anti-sink-hold-test') return hasAntiSinkValves(layout) ? [[task, '']] : [];
  if (task !== 'precharge-test') return [[task, '']];
  return UNIT_POSITIONS.filter(
    (position) => position !== 'rear-brake-accumulator' || hasRearBrakeAccumulator(layout),
  ).map((position) => [task, position]);
}

// Some units were tested once more than the others, at a later visit: their date runs apart
function singleRetests(visits: readonly ReadVisit[], random: NamedRandom): Map<ReadVisit, string> {
  const chosen = new Map<ReadVisit, string>();
  const byVehicle = groupedBy(visits, ({ vehicle }) => vehicle.number);
  for (const own of byVehicle.values()) {
    const lastGas = own.findLastIndex(({ packages }) => [...packages].some(({ name }) => name === 'gas'));
    const later = lastGas < 0 ? [] : own.slice(lastGas + 1);
    if (later.length > 0 && random.chance(0.25)) {
      chosen.set(random.pick(later), random.pick(UNIT_POSITIONS.slice(0, 5)));
    }
  }
  return chosen;
}
