import { CalendarDate, EpochDay, fromEpochDay, toEpochDay } from '../../../core/shared/calendar-date';
import { csvText } from './csv-text';
import {
  DemoGasUnit,
  DemoPlacement,
  DemoUnitTest,
  dayBelowLimit,
  presentPlacement,
  truePrecharge20,
} from './demo-gas-unit';
import { TARN_VALLEY_FLEET } from './depots';
import { DemoVehicle } from './fleet-vehicles';
import {
  SpoiledUnitTest,
  UnitTestFault,
  shownPressure,
  shownTemperature,
  spoiledUnitTests,
} from './gas-unit-faults';
import { GaugeBody, demoGauges } from './gas-unit-gauges';
import { gasUnitLives } from './gas-unit-lives';
import { StopwatchReading, SystemTestOccasion, gasUnitTroubles } from './gas-unit-troubles';
import { DEMO_UNIT_TYPES, UnitTypeBody } from './gas-unit-types';
import { unitTestVisits } from './gas-unit-visits';
import { TRUTH_DAYS_AHEAD } from './gas-unit-workshop';
import { LayoutRecord } from './hydraulic-layout-list';
import { localInstantText } from './local-clock';
import { ReadVisit } from './service-history-list';

/** What the operator hands over of its gas units, and the truth behind it. */
export interface GasUnitFleet {
  types: readonly UnitTypeBody[];
  gauges: readonly GaugeBody[];
  /** In the order in which they can be imported. */
  files: { name: string; text: string; rows: number }[];
  systemTests: {
    failedWarningTest: SystemTestOccasion & { warningBarGauge: number };
    stopwatchTest: SystemTestOccasion & StopwatchReading;
  };
  truth: GasUnitFleetTruth;
}

export interface GasUnitFleetTruth {
  units: ReadonlyMap<string, GasUnitTruth>;
  faults: readonly UnitTestFaultTruth[];
  /** Vehicle without its rear brake accumulator, and the unit that was taken out. */
  missingRearBrakeAccumulator: { vehicleKey: string; unitKey: string; takenOutOn: CalendarDate };
  /** It began to leak after its last test. */
  leakingMainAccumulator: { vehicleKey: string; unitKey: string };
  /** The type whose units lose gas much faster than the others. */
  badTypeCode: string;
}

/** What is true of a unit, told or not. */
export interface GasUnitTruth {
  externalKey: string;
  typeCode: string;
  nominal20BarGauge: number;
  madeOn: CalendarDate;
  state: DemoPlacement['state'];
  /** First day since its last charge below 80 % of nominal; null where that is after `knownUntilOn`. */
  below80On: CalendarDate | null;
  knownUntilOn: CalendarDate;
  /** Bar gauge at 20 °C on a day from the beginning of the unit's record until `knownUntilOn`. */
  precharge20BarGaugeOn: (on: CalendarDate) => number;
}

/** One mistake that was put into the file of unit tests. */
export interface UnitTestFaultTruth {
  fault: UnitTestFault;
  /** Line of the file, the header being line 1. */
  line: number;
  externalKey: string;
  unitKey: string;
  /** Local to the depot. */
  doneOn: CalendarDate;
  truePressureBarGauge: string;
  givenPressureBarGauge: string;
  trueGasTemperatureC: string;
  givenGasTemperatureC: string;
}

const UNIT_COLUMNS = ['externalKey', 'fleetKey', 'typeCode', 'serialNumber', 'madeOn', 'note'] as const;
const PLACEMENT_COLUMNS = [
  'unitKey',
  'state',
  'fromAt',
  'untilAt',
  'vehicleKey',
  'position',
  'depotKey',
  'externalKey',
  'note',
  'vehicleTotalKmFrom',
  'vehicleTotalKmUntil',
] as const;
const TEST_COLUMNS = [
  'unitKey',
  'kind',
  'doneAt',
  'doneBy',
  'pressureBarGauge',
  'gasTemperatureC',
  'ambientBar',
  'gaugeCode',
  'note',
  'externalKey',
] as const;

/**
 * The gas units of the demo fleet: five years of placements, tests and charges that end the day before `today`,
 * with the mistakes of the test sheets in them. The truth runs on for twelve years.
 */
export function gasUnitFleet(
  vehicles: readonly DemoVehicle[],
  layouts: readonly LayoutRecord[],
  visits: readonly ReadVisit[],
  historyRows: readonly (readonly string[])[],
  seed: number,
  today: EpochDay,
): GasUnitFleet {
  const gauges = demoGauges(today);
  const unitVisits = unitTestVisits(vehicles, visits, historyRows, layouts, seed, today);
  const workshop = gasUnitLives(vehicles, layouts, unitVisits, gauges, seed, today);
  const troubles = gasUnitTroubles(workshop, vehicles, layouts, visits, unitVisits, seed, today);
  const { units } = workshop;
  const tests = units
    .flatMap((unit) => unit.tests)
    .sort((a, b) => a.doneAt - b.doneAt || (a.unit.externalKey < b.unit.externalKey ? -1 : 1));
  const spoiled = spoiledUnitTests(tests, seed);
  const faultOf = new Map(spoiled.map((each) => [each.test, each]));
  const placements = units
    .flatMap((unit) => unit.placements.map((placement) => ({ unit, placement })))
    .sort((a, b) => a.placement.fromAt - b.placement.fromAt);
  const file = (
    name: string,
    columns: readonly string[],
    rows: string[][],
  ): GasUnitFleet['files'][number] => ({
    name,
    text: csvText(columns, rows),
    rows: rows.length,
  });
  const { missingRearBrakeAccumulator: missing, leakingMainAccumulator: leaking } = troubles;
  return {
    types: DEMO_UNIT_TYPES.map(({ body }) => body),
    gauges: gauges.map(({ body }) => body),
    files: [
      file('gas-units.csv', UNIT_COLUMNS, units.map(unitRow)),
      file(
        'unit-placements.csv',
        PLACEMENT_COLUMNS,
        placements.map(({ unit, placement }, index) => placementRow(unit, placement, index + 1)),
      ),
      file(
        'unit-tests.csv',
        TEST_COLUMNS,
        tests.map((test, index) => testRow(test, faultOf.get(test), testKey(index))),
      ),
    ],
    systemTests: { failedWarningTest: troubles.failedWarningTest, stopwatchTest: troubles.stopwatchTest },
    truth: {
      units: new Map(units.map((unit) => [unit.externalKey, unitTruth(unit, today)])),
      faults: spoiled.map((each) => faultTruth(each, tests.indexOf(each.test))),
      missingRearBrakeAccumulator: {
        vehicleKey: missing.vehicle.externalKey,
        unitKey: missing.unit.externalKey,
        takenOutOn: fromEpochDay(missing.takenOutDay),
      },
      leakingMainAccumulator: {
        vehicleKey: leaking.vehicle.externalKey,
        unitKey: leaking.unit.externalKey,
      },
      badTypeCode: worstType(),
    },
  };
}

function worstType(): string {
  const [worst] = DEMO_UNIT_TYPES.toSorted((a, b) => b.logLossPerYear.median - a.logLossPerYear.median);
  return worst?.body.code ?? '';
}

function unitRow(unit: DemoGasUnit): string[] {
  return [
    unit.externalKey,
    TARN_VALLEY_FLEET.externalKey,
    unit.type.body.code,
    unit.serialNumber,
    unit.isMadeDayKnown ? fromEpochDay(unit.madeDay) : '',
    '',
  ];
}

function placementRow(unit: DemoGasUnit, placement: DemoPlacement, number: number): string[] {
  const { state, fromAt, untilAt, vehicle, position, depot, note } = placement;
  const whole = (km: number | undefined): string => (km === undefined ? '' : String(km));
  return [
    unit.externalKey,
    state,
    localInstantText(fromAt, depot.zone),
    untilAt === undefined ? '' : localInstantText(untilAt, depot.zone),
    vehicle?.externalKey ?? '',
    position ?? '',
    state === 'on-the-shelf' ? depot.externalKey : '',
    `UP-${String(number).padStart(5, '0')}`,
    note,
    whole(placement.vehicleTotalKmFrom),
    whole(placement.vehicleTotalKmUntil),
  ];
}

function testKey(index: number): string {
  return `UT-${String(index + 1).padStart(5, '0')}`;
}

function testRow(test: DemoUnitTest, spoiled: SpoiledUnitTest | undefined, externalKey: string): string[] {
  const { unit, placement, kind, doneAt, doneBy, reading, note } = test;
  return [
    unit.externalKey,
    kind,
    localInstantText(doneAt, placement.depot.zone),
    doneBy,
    spoiled?.givenPressureBarGauge ?? shownPressure(test),
    spoiled?.givenGasTemperatureC ?? shownTemperature(test),
    reading.ambientBar === undefined ? '' : String(reading.ambientBar),
    doneBy.startsWith('technician') ? reading.gauge.body.code : '',
    note,
    externalKey,
  ];
}

function unitTruth(unit: DemoGasUnit, today: EpochDay): GasUnitTruth {
  const untilDay = today + TRUTH_DAYS_AHEAD;
  const belowDay = dayBelowLimit(unit, untilDay);
  return {
    externalKey: unit.externalKey,
    typeCode: unit.type.body.code,
    nominal20BarGauge: unit.type.body.nominalPrecharge20BarGauge,
    madeOn: fromEpochDay(unit.madeDay),
    state: presentPlacement(unit).state,
    below80On: belowDay === undefined ? null : fromEpochDay(belowDay),
    knownUntilOn: fromEpochDay(untilDay),
    precharge20BarGaugeOn: (on) => truePrecharge20(unit, toEpochDay(on)),
  };
}

function faultTruth(spoiled: SpoiledUnitTest, index: number): UnitTestFaultTruth {
  const { fault, test, givenPressureBarGauge, givenGasTemperatureC } = spoiled;
  return {
    fault,
    // the header is line 1
    line: index + 2,
    externalKey: testKey(index),
    unitKey: test.unit.externalKey,
    doneOn: fromEpochDay(test.day),
    truePressureBarGauge: shownPressure(test),
    givenPressureBarGauge,
    trueGasTemperatureC: shownTemperature(test),
    givenGasTemperatureC,
  };
}
