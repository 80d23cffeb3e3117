import { UNIT_POSITIONS, UnitPosition } from '../../../core/hydraulics/unit-positions';
import { EpochDay, toEpochDay } from '../../../core/shared/calendar-date';
import { ASSUMED_EARLY_DAYS, ASSUMED_SERVICE_PLAN, nextDueDay } from './assumed-service-plan';
import { CAST, isCast } from './cast';
import { DemoVehicle } from './fleet-vehicles';
import { LayoutRecord, hasRearBrakeAccumulator } from './hydraulic-layout-list';
import { instantWithinDay } from './local-clock';
import { NamedRandom } from './named-random';
import { present } from './present';
import { HISTORY_COLUMNS, ReadVisit, RECHARGED_NOTE } from './service-history-list';
import { isWorkingDay } from './weekday-of';

/** A visit on which gas units of a vehicle are tested. */
export interface UnitTestVisit {
  vehicle: DemoVehicle;
  day: EpochDay;
  /** When the first unit is tested. */
  at: number;
  tested: ReadonlySet<UnitPosition>;
  /** Recharged whatever the test says, because the service history has it so. */
  recharged: UnitPosition | undefined;
}

/** The operator began to keep records of its units this long before today. */
export const UNIT_RECORD_DAYS = 1826;

/** Positions at which a vehicle has a gas unit on record. */
export function recordedPositions(layout: LayoutRecord | undefined): readonly UnitPosition[] {
  return UNIT_POSITIONS.filter(
    (position) => position !== 'rear-brake-accumulator' || hasRearBrakeAccumulator(layout),
  );
}

/**
 * When which units are tested, by time: twice when the record began, whenever the service history says so, and in
 * passing at most other visits. A vehicle whose precharge test is due or late has had none since its last one.
 */
export function unitTestVisits(
  vehicles: readonly DemoVehicle[],
  visits: readonly ReadVisit[],
  historyRows: readonly (readonly string[])[],
  layouts: readonly LayoutRecord[],
  seed: number,
  today: EpochDay,
): UnitTestVisit[] {
  const layoutOf = new Map(layouts.map((record) => [record.vehicleKey, record]));
  const written = writtenTests(historyRows);
  return vehicles
    .filter(({ number }) => !isCast(CAST.noHistory, number))
    .flatMap((vehicle) => {
      const random = new NamedRandom(`${seed} unit tests ${vehicle.number}`);
      const positions = recordedPositions(layoutOf.get(vehicle.externalKey));
      const own = visits.filter((visit) => visit.vehicle === vehicle);
      const lastInPassing = lastDayInPassing(vehicle, own, today);
      return [
        ...firstVisits(vehicle, positions, random, today),
        ...own.map(({ day, readAt }): UnitTestVisit => {
          const tests = written.get(`${vehicle.externalKey} ${day}`);
          const inPassing = day <= lastInPassing && random.chance(0.75) ? mostOf(positions, random) : [];
          return {
            vehicle,
            day,
            at: readAt,
            tested: new Set([...inPassing, ...(tests?.positions ?? [])]),
            recharged: tests?.recharged,
          };
        }),
      ];
    })
    .filter(({ tested }) => tested.size > 0)
    .sort((a, b) => a.at - b.at || a.vehicle.number - b.vehicle.number);
}

interface WrittenTests {
  positions: UnitPosition[];
  recharged: UnitPosition | undefined;
}

function writtenTests(historyRows: readonly (readonly string[])[]): Map<string, WrittenTests> {
  const column = (row: readonly string[], name: (typeof HISTORY_COLUMNS)[number]): string =>
    present(row[HISTORY_COLUMNS.indexOf(name)], name);
  const byVisit = new Map<string, WrittenTests>();
  for (const row of historyRows) {
    if (column(row, 'task') !== 'precharge-test') continue;
    const key = `${column(row, 'vehicleKey')} ${toEpochDay(column(row, 'doneOn'))}`;
    const tests = byVisit.get(key) ?? { positions: [], recharged: undefined };
    const position = column(row, 'position') as UnitPosition;
    tests.positions.push(position);
    if (column(row, 'note') === RECHARGED_NOTE) tests.recharged = position;
    byVisit.set(key, tests);
  }
  return byVisit;
}

function lastDayInPassing(vehicle: DemoVehicle, own: readonly ReadVisit[], today: EpochDay): EpochDay {
  const gas = present(
    ASSUMED_SERVICE_PLAN.find(({ name }) => name === 'gas'),
    'work on the gas units',
  );
  const lastDay = own.findLast(({ packages }) => packages.has(gas))?.day ?? vehicle.inServiceDay;
  const dueDay = nextDueDay(gas, lastDay, vehicle.dutyClass, vehicle.path);
  return dueDay > today + ASSUMED_EARLY_DAYS + 14 ? today - 1 : lastDay;
}

function firstVisits(
  vehicle: DemoVehicle,
  positions: readonly UnitPosition[],
  random: NamedRandom,
  today: EpochDay,
): UnitTestVisit[] {
  const begin = today - UNIT_RECORD_DAYS;
  return [random.integer(3, 70), random.integer(170, 290)].flatMap((days) => {
    let day = begin + days;
    while (!isWorkingDay(day)) day += 1;
    const at = instantWithinDay(day, 0.36 + 0.2 * random.next(), vehicle.depot.zone);
    const tested = new Set(mostOf(positions, random));
    return day < vehicle.inServiceDay + 30 ? [] : [{ vehicle, day, at, tested, recharged: undefined }];
  });
}

function mostOf(positions: readonly UnitPosition[], random: NamedRandom): UnitPosition[] {
  return positions.filter(() => random.chance(0.92));
}
