import {
  CalendarDate,
  addDays,
  fromEpochDay,
  parseCalendarDate,
  toEpochDay,
} from '../../../core/shared/calendar-date';
import { InputError } from '../../../core/shared/input-error';
import { CAST } from './cast';
import { csvText } from './csv-text';
import { DemoDepot, TARN_VALLEY_DEPOTS, TARN_VALLEY_FLEET } from './depots';
import { TarnValleyTruth, VehicleTruth } from './fleet-truth';
import { DemoVehicle, fleetVehicles, vehicleKey } from './fleet-vehicles';
import { GasUnitFleet, gasUnitFleet } from './gas-unit-fleet';
import { LAYOUT_COLUMNS, hydraulicLayoutRecords, layoutRow } from './hydraulic-layout-list';
import { latestLeapDay } from './latest-leap-day';
import { localInstantText } from './local-clock';
import { odometerReadingFile } from './odometer-reading-file';
import { present } from './present';
import { HISTORY_COLUMNS, readVisits, serviceHistoryRows } from './service-history-list';
import { serviceVisits } from './service-visits';
import { InstrumentChange, instrumentChange } from './shown-odometer';
import { VEHICLE_COLUMNS, vehicleList } from './vehicle-list';

/** A file as the operator hands it over. */
export interface DemoFile {
  name: string;
  /** UTF-8 text, with its line ends and, where there is one, its byte order mark. */
  text: string;
  /** Records after the header, wrong ones included. */
  rows: number;
}

/** The demo fleet: what the operator hands over, and the truth behind it. */
export interface TarnValleyFleet {
  /** the day of the demo */
  todayOn: CalendarDate;
  fleet: typeof TARN_VALLEY_FLEET;
  depots: readonly DemoDepot[];
  /** In the order in which they can be imported. */
  files: DemoFile[];
  /** Handed over once the vehicles and their layouts are known. */
  gasUnits: GasUnitFleet;
  truth: TarnValleyTruth;
}

const REPLACEMENT_COLUMNS = [
  'externalKey',
  'vehicleKey',
  'replacedAt',
  'oldFinalValue',
  'oldUnit',
  'newInitialValue',
  'newUnit',
] as const;
const DUTY_COLUMNS = ['externalKey', 'vehicleKey', 'fromOn', 'dutyClass'] as const;
const NEW_INSTRUMENT_DAYS_AGO = 437;

/**
 * The invented fleet *Tarn Valley Patient Transport* on a day: three depots, sixty vehicles, and the files
 * that their operator would hand over, dirty as in life. The same seed and day give the same text. Everything
 * in the files is earlier than the day itself, save the one reading that is dated in the future by mistake.
 *
 * @param seed whole number
 * @param todayOn the day of the demo, between 2000-01-01 and 2099-12-31
 * @throws InputError naming `seed` or `todayOn`
 */
export function tarnValleyFleet({ seed, todayOn }: { seed: number; todayOn: CalendarDate }): TarnValleyFleet {
  if (!Number.isSafeInteger(seed))
    throw new InputError('seed', `"${seed}" is not a seed`, 'give a whole number');
  const today = toEpochDay(parseCalendarDate(todayOn, 'todayOn'));
  if (todayOn < '2000-01-01' || todayOn > '2099-12-31') {
    throw new InputError(
      'todayOn',
      `${todayOn} is outside the demo`,
      'give a day from 2000-01-01 to 2099-12-31',
    );
  }
  const vehicles = fleetVehicles(seed, today);
  const change = instrumentChange(
    vehicleNumber(vehicles, CAST.newInstrument),
    today - NEW_INSTRUMENT_DAYS_AGO,
  );
  const layouts = hydraulicLayoutRecords(vehicles, seed, today);
  const visits = readVisits(serviceVisits(vehicles, seed, today), vehicles, seed, today);
  const readings = odometerReadingFile(vehicles, visits, change, seed, today);
  const history = serviceHistoryRows(visits, layouts, change, seed);
  const windows = { lineEnd: '\r\n', byteOrderMark: false } as const;
  return {
    todayOn,
    fleet: TARN_VALLEY_FLEET,
    depots: TARN_VALLEY_DEPOTS,
    files: [
      demoFile('vehicles.csv', VEHICLE_COLUMNS, vehicleList(vehicles, seed, today), {
        lineEnd: '\r\n',
        byteOrderMark: true,
      }),
      demoFile('duty-changes.csv', DUTY_COLUMNS, dutyChangeRows(vehicles), windows),
      demoFile('hydraulic-layouts.csv', LAYOUT_COLUMNS, layouts.map(layoutRow)),
      demoFile('odometer-replacements.csv', REPLACEMENT_COLUMNS, [replacementRow(change)], windows),
      { name: 'odometer-readings.csv', text: readings.text, rows: readings.rows },
      demoFile('service-history.csv', HISTORY_COLUMNS, history, windows),
    ],
    gasUnits: gasUnitFleet(vehicles, layouts, visits, history, seed, today),
    truth: {
      vehicles: new Map(vehicles.map((vehicle) => [vehicle.externalKey, vehicleTruth(vehicle)])),
      faults: readings.faults,
      clockChanges: readings.clockChanges,
      instrumentChange: {
        vehicleKey: change.vehicle.externalKey,
        replacedAt: replacedAtText(change),
        oldFinalValue: change.oldFinalValue,
        newInitialValue: change.newInitialValue,
      },
      leapDay: {
        on: latestLeapDay(addDays(todayOn, -400)),
        inServiceVehicleKey: vehicleKey(CAST.inServiceOnLeapDay),
        taskVehicleKey: vehicleKey(CAST.taskDoneOnLeapDay),
      },
      contradictoryLayoutVehicleKey: vehicleKey(CAST.contradictoryLayout),
      brakeReserveFindingVehicleKey: vehicleKey(CAST.brakeReserveFinding),
      vehicleKeysWithoutLayout: CAST.noLayout.map(vehicleKey),
      vehicleKeysWithoutHistory: CAST.noHistory.map(vehicleKey),
      vehicleKeysWithoutReadings: CAST.noReadings.map(vehicleKey),
      vehicleKeysWithoutInServiceDate: CAST.unknownInService.map(vehicleKey),
      vehicleKeysWithWrongVinCheckDigit: CAST.wrongVinCheckDigit.map(vehicleKey),
    },
  };
}

function demoFile(
  name: string,
  columns: readonly string[],
  rows: readonly (readonly string[])[],
  dialect?: Parameters<typeof csvText>[2],
): DemoFile {
  return { name, text: csvText(columns, rows, dialect), rows: rows.length };
}

function vehicleNumber(vehicles: readonly DemoVehicle[], number: number): DemoVehicle {
  return present(
    vehicles.find((vehicle) => vehicle.number === number),
    `vehicle ${number}`,
  );
}

function dutyChangeRows(vehicles: readonly DemoVehicle[]): string[][] {
  return vehicles
    .filter(({ dutyChange }) => dutyChange !== undefined)
    .map(({ externalKey, dutyChange }, index) => {
      const change = present(dutyChange, 'duty change');
      return [`DC-${index + 1}`, externalKey, fromEpochDay(change.on), change.after];
    });
}

function replacementRow(change: InstrumentChange): string[] {
  const { vehicle } = change;
  return [
    'OR-1',
    vehicle.externalKey,
    replacedAtText(change),
    change.oldFinalValue.toFixed(1),
    vehicle.odometerUnit,
    String(change.newInitialValue),
    vehicle.odometerUnit,
  ];
}

function replacedAtText(change: InstrumentChange): string {
  return localInstantText(change.replacedAt, change.vehicle.depot.zone);
}

function vehicleTruth(vehicle: DemoVehicle): VehicleTruth {
  const { dutyChange } = vehicle;
  return {
    externalKey: vehicle.externalKey,
    zone: vehicle.depot.zone,
    odometerUnit: vehicle.odometerUnit,
    inServiceOn: fromEpochDay(vehicle.inServiceDay),
    inServiceDay: vehicle.inServiceDay,
    kmPerEngineHour: vehicle.kmPerEngineHour,
    path: vehicle.path,
    dutyChange: dutyChange && {
      fromOn: fromEpochDay(dutyChange.on),
      before: dutyChange.before,
      after: dutyChange.after,
      rateFactor: dutyChange.rateFactor,
    },
  };
}
