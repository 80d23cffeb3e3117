import { parse } from 'csv-parse/sync';
import { DateTime } from 'luxon';
import { ASSUMED_SERVICE_PLAN } from '../../../src/cli/demo/tarn-valley/assumed-service-plan';
import { TARN_VALLEY_DEPOTS } from '../../../src/cli/demo/tarn-valley/depots';
import { tarnValleyFleet } from '../../../src/cli/demo/tarn-valley/tarn-valley-fleet';
import { UNVERIFIED_LAYOUT, type HydraulicLayout } from '../../../src/core/hydraulics/hydraulic-layout';
import { contradictionsIn } from '../../../src/core/hydraulics/layout-conclusions';
import { safetyFindings } from '../../../src/core/hydraulics/safety-findings';
import { fromEpochDay, toEpochDay } from '../../../src/core/shared/calendar-date';
import { parseVehicleIdentificationNumber } from '../../../src/core/shared/vehicle-identification-number';
import { assumedStandings } from './assumed-standings';
import { MALFORMED, type Row, rowsOf, textOf } from './demo-file-rows';

const DAYS = ['2026-11-25', '2027-02-28', '2028-03-01'];
// 1 mile, exactly (international yard and pound agreement of 1959)
const MILE_KM = 1.609344;
// RFC 3339 section 5.6, date-time, without the fraction of a second that the files never use
const RFC_3339 =
  /^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])T([01]\d|2[0-3]):[0-5]\d:[0-5]\d(Z|[+-]([01]\d|2[0-3]):[0-5]\d)$/;

const demos = new Map(DAYS.map((todayOn) => [todayOn, tarnValleyFleet({ seed: 1, todayOn })]));

test('the same seed and day give the same text, another seed gives another', () => {
  const again = tarnValleyFleet({ seed: 1, todayOn: DAYS[0]! });
  expect(again.files).toEqual(demos.get(DAYS[0]!)!.files);
  const other = tarnValleyFleet({ seed: 2, todayOn: DAYS[0]! });
  expect(textOf(other, 'odometer-readings.csv')).not.toBe(textOf(again, 'odometer-readings.csv'));
});

test.each([
  [{ seed: 1.5, todayOn: '2026-11-25' }, 'seed'],
  [{ seed: Number.NaN, todayOn: '2026-11-25' }, 'seed'],
  [{ seed: 1, todayOn: '2026-02-29' }, 'todayOn'],
  [{ seed: 1, todayOn: '1999-12-31' }, 'todayOn'],
  [{ seed: 1, todayOn: '2100-01-01' }, 'todayOn'],
])('%p is refused', (input, field) => {
  let refusal: unknown;
  try {
    tarnValleyFleet(input);
  } catch (error) {
    refusal = error;
  }
  expect(refusal).toMatchObject({ name: 'InputError', field });
});

test('depots lie in two zones', () => {
  expect(TARN_VALLEY_DEPOTS).toHaveLength(3);
  expect(TARN_VALLEY_DEPOTS.map(({ zone }) => zone).sort()).toEqual([
    'Europe/London',
    'Europe/London',
    'Europe/Paris',
  ]);
});

test.each(['2000-01-01', '2024-02-29', '2026-10-25', '2026-10-26', '2099-12-31'])(
  'on %s the fleet can be made too, with every mistake in it',
  (todayOn) => {
    expect(tarnValleyFleet({ seed: 7, todayOn }).truth.faults).toHaveLength(16);
  },
);

describe.each(DAYS)('on %s', (todayOn) => {
  const demo = demos.get(todayOn)!;
  const { truth } = demo;
  const today = toEpochDay(todayOn);
  const vehicles = rowsOf(demo, 'vehicles.csv');
  const readings = rowsOf(demo, 'odometer-readings.csv');
  const history = rowsOf(demo, 'service-history.csv');
  const layouts = rowsOf(demo, 'hydraulic-layouts.csv');
  const vehicleOf = new Map(vehicles.map((row) => [row.externalKey!, row]));
  const faultByLine = new Map(truth.faults.map((fault) => [fault.line, fault]));

  const dayAndShare = (readAt: string, zone: string): { day: number; share: number } => {
    const local = DateTime.fromISO(readAt, { zone });
    const start = local.startOf('day');
    const end = start.plus({ days: 1 });
    return {
      day: toEpochDay(local.toFormat('yyyy-MM-dd')),
      share: (local.toMillis() - start.toMillis()) / (end.toMillis() - start.toMillis()),
    };
  };

  /** True kilometres since manufacture, worked out here from the path alone. */
  const trueKmAt = (key: string, readAt: string): number => {
    const { path, zone, inServiceDay } = truth.vehicles.get(key)!;
    const { day, share } = dayAndShare(readAt, zone);
    const before = path.totalKmAtDayStart[day - inServiceDay]!;
    return before + share * (path.totalKmAtDayStart[day - inServiceDay + 1]! - before);
  };

  /** What the instrument showed, in `unit`. */
  const trueShown = (key: string, readAt: string, unit: string): number => {
    const { odometerUnit } = truth.vehicles.get(key)!;
    const own = trueKmAt(key, readAt) / (odometerUnit === 'mi' ? MILE_KM : 1);
    const { vehicleKey, replacedAt, oldFinalValue, newInitialValue } = truth.instrumentChange;
    const changed = key === vehicleKey && Date.parse(readAt) >= Date.parse(replacedAt);
    const shown = changed ? own - oldFinalValue + newInitialValue : own;
    return unit === odometerUnit ? shown : shown * MILE_KM;
  };

  test('files, headers and numbers of rows', () => {
    const headers = Object.fromEntries(
      demo.files.map(({ name, text }) => [name, text.replace('\ufeff', '').split(/\r?\n/)[0]]),
    );
    expect(headers).toEqual({
      'vehicles.csv':
        'externalKey,fleetKey,depotKey,registrationMark,fleetNumber,vin,dutyClass,inServiceOn,' +
        'inServiceOdometerKm,odometerUnit,statedYearlyDistanceKm',
      'odometer-readings.csv': 'externalKey,vehicleKey,readAt,value,unit,source,meter',
      'odometer-replacements.csv':
        'externalKey,vehicleKey,replacedAt,oldFinalValue,oldUnit,newInitialValue,newUnit',
      'duty-changes.csv': 'externalKey,vehicleKey,fromOn,dutyClass',
      'hydraulic-layouts.csv':
        'vehicleKey,pumpKind,antiSinkValves,rearBrakeAccumulator,steeringSupply,steeringRegulator,fluid,' +
        'reservoirLitres,seenBy,seenOn,how',
      'service-history.csv':
        'externalKey,vehicleKey,task,position,doneOn,odometer,odometerUnit,engineHours,doneBy,note',
    });
    for (const { name, rows } of demo.files) {
      const malformed = name === 'odometer-readings.csv' ? MALFORMED.length : 0;
      expect(rows).toBe(rowsOf(demo, name).length + malformed);
    }
    expect(vehicles).toHaveLength(60);
    expect(layouts).toHaveLength(60 - truth.vehicleKeysWithoutLayout.length);
    expect(readings.length).toBeGreaterThan(5000);
    expect(readings.length).toBeLessThan(7000);
    expect(history.length).toBeGreaterThan(1200);
    expect(rowsOf(demo, 'duty-changes.csv')).toHaveLength(3);
    expect(rowsOf(demo, 'odometer-replacements.csv')).toHaveLength(1);
  });

  test('one file has a byte order mark and CRLF, the readings have LF', () => {
    expect(demo.files.filter(({ text }) => text.startsWith('\ufeff')).map(({ name }) => name)).toEqual([
      'vehicles.csv',
    ]);
    expect(textOf(demo, 'vehicles.csv').split('\r\n')).toHaveLength(62);
    expect(textOf(demo, 'vehicles.csv').replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    expect(textOf(demo, 'odometer-readings.csv')).not.toContain('\r');
    expect(textOf(demo, 'service-history.csv')).toContain('\r\n');
  });

  test('keys are unique, save the row that is there twice, and point to something', () => {
    for (const rows of [vehicles, history, rowsOf(demo, 'duty-changes.csv')]) {
      expect(new Set(rows.map((row) => row.externalKey)).size).toBe(rows.length);
    }
    expect(new Set(readings.map((row) => row.externalKey)).size).toBe(readings.length - 1);
    for (const row of [...readings, ...history, ...layouts])
      expect(vehicleOf.has(row.vehicleKey!)).toBe(true);
    const depotKeys = new Set(demo.depots.map(({ externalKey }) => externalKey));
    expect(new Set(vehicles.map((row) => row.depotKey))).toEqual(depotKeys);
    expect(new Set(vehicles.map((row) => row.fleetKey))).toEqual(new Set([demo.fleet.externalKey]));
  });

  test('marks, VINs, duty classes and units', () => {
    expect(new Set(vehicles.map((row) => row.registrationMark!.toUpperCase().replace(' ', ''))).size).toBe(
      60,
    );
    for (const row of vehicles) expect(row.registrationMark).toMatch(/^TVP 1\d\d$|^tvp1\d\d$/);
    const warned = vehicles.filter(
      (row) => parseVehicleIdentificationNumber(row.vin!).checkDigitWarning !== null,
    );
    expect(warned.map((row) => row.externalKey)).toEqual(truth.vehicleKeysWithWrongVinCheckDigit);
    expect(new Set(vehicles.map((row) => row.dutyClass))).toEqual(
      new Set(['standard', 'urban-stop-start', 'long-distance', 'rough-road']),
    );
    for (const unit of ['km', 'mi']) {
      expect(vehicles.filter((row) => row.odometerUnit === unit).length).toBeGreaterThan(15);
    }
    for (const row of vehicles) {
      expect(row.inServiceOn === '').toBe(truth.vehicleKeysWithoutInServiceDate.includes(row.externalKey!));
      if (row.inServiceOn !== '') expect(row.inServiceOn! < todayOn).toBe(true);
    }
  });

  test('a vehicle came into service, and a task was done, on 29 February', () => {
    expect(truth.leapDay.on).toMatch(/-02-29$/);
    expect(vehicleOf.get(truth.leapDay.inServiceVehicleKey)!.inServiceOn).toBe(truth.leapDay.on);
    const done = history.filter(
      (row) => row.vehicleKey === truth.leapDay.taskVehicleKey && row.doneOn === truth.leapDay.on,
    );
    expect(done.length).toBeGreaterThan(0);
  });

  test('true distances never fall, and daily use has the spread of real vehicles', () => {
    for (const { path } of truth.vehicles.values()) {
      expect(path.totalKmAtDayStart.findIndex((km, day, all) => day > 0 && !(km >= all[day - 1]!))).toBe(-1);
      expect(path.firstDay + path.totalKmAtDayStart.length - 1).toBe(today);
    }
    // Lifetime miles a day of ten vehicles in anonymised roadworthiness tests (Department for Transport and
    // DVSA, Open Government Licence v3.0): 11.4 to 75.0, half of them below 24.4. Lay-ups and a change of
    // duty may take a single vehicle a little outside.
    const milesPerDay = [...truth.vehicles.values()]
      .map(
        ({ path: { totalKmAtDayStart: total } }) =>
          (total.at(-1)! - total[0]!) / (total.length - 1) / MILE_KM,
      )
      .sort((a, b) => a - b);
    expect(milesPerDay[0]).toBeGreaterThan(8);
    expect(milesPerDay.at(-1)).toBeLessThan(90);
    expect(milesPerDay[30]).toBeGreaterThan(19);
    expect(milesPerDay[30]).toBeLessThan(29);
  });

  test('every reading that was not spoiled is what the instrument showed, rounded down', () => {
    let compared = 0;
    const wrong: string[] = [];
    for (const [index, line] of textOf(demo, 'odometer-readings.csv').trimEnd().split('\n').entries()) {
      if (index === 0 || faultByLine.has(index + 1)) continue;
      const [, key = '', readAt = '', value = '', unit = '', source, meter] = line.split(',');
      const hours = meter === 'engine-hours';
      const shown = hours
        ? trueKmAt(key, readAt) / truth.vehicles.get(key)!.kmPerEngineHour
        : trueShown(key, readAt, unit);
      const step = source === 'telematics' ? 0.1 : 1;
      const below = shown - Number(value);
      const rightUnit = hours ? 'h' : source === 'telematics' ? 'km' : vehicleOf.get(key)!.odometerUnit;
      if (!(below > -1e-6 && below < step + 1e-6) || unit !== rightUnit)
        wrong.push(`${line} is really ${shown}`);
      compared += 1;
    }
    expect(wrong).toEqual([]);
    expect(compared).toBe(readings.length + MALFORMED.length - truth.faults.length);
  });

  test('instants are RFC 3339 with the offset of the depot, and earlier than today', () => {
    const future = truth.faults.filter(({ fault }) => fault === 'future');
    const wrong = readings.filter(({ externalKey, vehicleKey, readAt }) => {
      const { zone } = truth.vehicles.get(vehicleKey!)!;
      const local = DateTime.fromISO(readAt!, { zone }).toFormat("yyyy-MM-dd'T'HH:mm:ssZZ");
      const early = readAt! < todayOn || future.some((fault) => fault.externalKey === externalKey);
      return !RFC_3339.test(readAt!) || local !== readAt || !early;
    });
    expect(wrong).toEqual([]);
    expect(truth.instrumentChange.replacedAt).toMatch(RFC_3339);
  });

  test('three sources, three years, and meters of engine hours', () => {
    expect(new Set(readings.map((row) => row.source))).toEqual(
      new Set(['telematics', 'workshop', 'driver-sheet']),
    );
    const first = readings.map((row) => row.readAt!).sort()[0]!;
    expect(today - toEpochDay(first.slice(0, 10))).toBeGreaterThan(1080);
    expect(
      new Set(readings.filter((row) => row.meter === 'engine-hours').map((row) => row.vehicleKey)).size,
    ).toBe(5);
    const read = new Set(readings.map((row) => row.vehicleKey));
    const unread = [...vehicleOf.keys()].filter((key) => !read.has(key));
    expect(unread).toEqual(truth.vehicleKeysWithoutReadings);
  });

  test('mistakes are what and where the truth says', () => {
    const lines = textOf(demo, 'odometer-readings.csv').split('\n');
    const counts = new Map<string, number>();
    for (const fault of truth.faults) {
      counts.set(fault.fault, (counts.get(fault.fault) ?? 0) + 1);
      const { externalKey, vehicleKey, givenReadAt, givenValue, unit } = fault;
      expect(lines[fault.line - 1]).toBe(
        `${externalKey},${vehicleKey},${givenReadAt},${givenValue},${unit},driver-sheet,odometer`,
      );
      const shown = trueShown(vehicleKey, fault.trueReadAt, unit);
      expect(Math.floor(shown + 1e-6)).toBe(Number(fault.trueValue));
      if (fault.fault !== 'future') expect(givenReadAt).toBe(fault.trueReadAt);
    }
    expect(Object.fromEntries(counts)).toEqual({
      'missing-digit': 3,
      'extra-digit': 3,
      'transposed-digits': 3,
      'miles-in-a-km-vehicle': 1,
      'km-in-a-miles-vehicle': 1,
      backward: 1,
      future: 1,
      'duplicate-row': 1,
      'wrong-column-count': 1,
      'bare-quote': 1,
    });
    expect(new Set(truth.faults.map(({ vehicleKey }) => vehicleKey)).size).toBe(truth.faults.length);
  });

  test('each mistake is of its kind', () => {
    const without = (text: string, at: number): string => text.slice(0, at) + text.slice(at + 1);
    const withoutOne = (text: string): string[] => Array.from(text, (_, at) => without(text, at));
    const swappedOnce = (text: string): string[] =>
      Array.from(
        text.slice(1),
        (_, at) => text.slice(0, at) + text.charAt(at + 1) + text.charAt(at) + text.slice(at + 2),
      );
    const lines = textOf(demo, 'odometer-readings.csv').trimEnd().split('\n');
    for (const {
      fault,
      line,
      givenValue,
      trueValue,
      givenReadAt,
      trueReadAt,
      vehicleKey,
      externalKey,
    } of truth.faults) {
      const { odometerUnit } = vehicleOf.get(vehicleKey)!;
      switch (fault) {
        case 'missing-digit':
          expect(withoutOne(trueValue)).toContain(givenValue);
          break;
        case 'extra-digit':
          expect(withoutOne(givenValue)).toContain(trueValue);
          break;
        case 'transposed-digits':
          expect(givenValue).not.toBe(trueValue);
          expect(swappedOnce(trueValue)).toContain(givenValue);
          break;
        case 'miles-in-a-km-vehicle':
          expect(odometerUnit).toBe('km');
          expect(Math.abs(Number(givenValue) * MILE_KM - Number(trueValue))).toBeLessThan(2);
          break;
        case 'km-in-a-miles-vehicle':
          expect(odometerUnit).toBe('mi');
          expect(Math.abs(Number(givenValue) / MILE_KM - Number(trueValue))).toBeLessThan(1);
          break;
        case 'backward': {
          const earlier = readings.filter(
            (row) =>
              row.vehicleKey === vehicleKey && row.source === 'driver-sheet' && row.readAt! < givenReadAt,
          );
          expect(Math.max(...earlier.map((row) => Number(row.value)))).toBeGreaterThan(Number(givenValue));
          break;
        }
        case 'future':
          expect(givenReadAt > todayOn && trueReadAt < todayOn).toBe(true);
          break;
        case 'duplicate-row':
          expect(lines.filter((each) => each === lines[line - 1])).toHaveLength(2);
          expect(lines.filter((each) => each.startsWith(`${externalKey},`))).toHaveLength(2);
          break;
        case 'wrong-column-count':
          expect(lines[line - 1]!.split(',')).toHaveLength(8);
          break;
        case 'bare-quote':
          expect(lines[line - 1]).toMatch(/,\d+"\d+,/);
          break;
      }
    }
    // RFC 4180 section 2, rules 4 and 5: the same number of fields, no quote in an unquoted field
    for (const fault of truth.faults.filter((each) => MALFORMED.includes(each.fault))) {
      expect(() => parse(`${lines[0]!}\n${lines[fault.line - 1]!}\n`, { columns: true })).toThrow();
    }
  });

  test('readings lie on both sides of the latest clock change, and in the repeated hour', () => {
    for (const zone of ['Europe/London', 'Europe/Paris']) {
      const own = truth.clockChanges.filter((each) => each.zone === zone);
      const [before, after, first, second] = ['before', 'after', 'repeated-first', 'repeated-second'].map(
        (when) => own.find((each) => each.when === when)!,
      );
      for (const { externalKey, readAt } of own) {
        expect(readings.find((row) => row.externalKey === externalKey)!.readAt).toBe(readAt);
      }
      expect(before!.readAt.slice(-6)).not.toBe(after!.readAt.slice(-6));
      expect(Date.parse(before!.readAt)).toBeLessThan(Date.parse(before!.changeAt));
      expect(Date.parse(after!.readAt)).toBeGreaterThan(Date.parse(after!.changeAt));
      expect(Date.parse(first!.readAt)).toBeLessThan(Date.parse(second!.readAt));
      // the later one shows the earlier wall time
      expect(first!.readAt.slice(0, 19) > second!.readAt.slice(0, 19)).toBe(true);
      expect(trueKmAt(second!.vehicleKey, second!.readAt)).toBeGreaterThan(
        trueKmAt(first!.vehicleKey, first!.readAt),
      );
    }
  });

  test('the clock changes are those of the European rule', () => {
    // Directive 2000/84/EC, articles 2 and 3, and the Summer Time Order 2002: 01:00 UTC on the last Sunday of March and of October
    const lastSundays = ['03', '10'].flatMap((month) =>
      [today - 366, today].map((day) => {
        const end = DateTime.fromISO(`${fromEpochDay(day).slice(0, 4)}-${month}-31`, { zone: 'utc' });
        return end.minus({ days: end.weekday % 7 }).set({ hour: 1 });
      }),
    );
    const latest = Math.max(
      ...lastSundays.map((at) => at.toMillis()).filter((at) => at < Date.parse(todayOn)),
    );
    for (const each of truth.clockChanges.filter(({ when }) => when === 'before' || when === 'after')) {
      expect(Date.parse(each.changeAt)).toBe(latest);
    }
  });

  test('total distance survives the new instrument', () => {
    const { vehicleKey, replacedAt, oldFinalValue, newInitialValue } = truth.instrumentChange;
    expect(rowsOf(demo, 'odometer-replacements.csv')[0]).toMatchObject({
      vehicleKey,
      replacedAt,
      oldFinalValue: oldFinalValue.toFixed(1),
      newInitialValue: String(newInitialValue),
    });
    const after = readings.filter(
      (row) => row.vehicleKey === vehicleKey && Date.parse(row.readAt!) > Date.parse(replacedAt),
    );
    expect(after.length).toBeGreaterThan(30);
    for (const row of after) {
      const shownMiles = Number(row.value) / (row.unit === 'km' ? MILE_KM : 1);
      const totalMiles = oldFinalValue + (shownMiles - newInitialValue);
      expect(Math.abs(totalMiles * MILE_KM - trueKmAt(vehicleKey, row.readAt!))).toBeLessThan(2);
      expect(shownMiles).toBeLessThan(oldFinalValue + 1e5);
    }
  });

  test('duty changes lie in the past and show in the true rate', () => {
    for (const row of rowsOf(demo, 'duty-changes.csv')) {
      const { dutyChange, path } = truth.vehicles.get(row.vehicleKey!)!;
      expect(row).toMatchObject({ fromOn: dutyChange!.fromOn, dutyClass: dutyChange!.after });
      expect(vehicleOf.get(row.vehicleKey!)!.dutyClass).toBe(row.dutyClass);
      const at = toEpochDay(row.fromOn!) - path.firstDay;
      const ratio = path.underlyingKmPerDay[at]! / path.underlyingKmPerDay[at - 1]!;
      expect(ratio / dutyChange!.rateFactor).toBeGreaterThan(0.9);
      expect(ratio / dutyChange!.rateFactor).toBeLessThan(1.1);
    }
  });

  test('layouts: one contradiction, one finding, some open facts, some vehicles without a record', () => {
    const asLayout = (row: Row): HydraulicLayout => ({
      ...UNVERIFIED_LAYOUT,
      ...Object.fromEntries(Object.entries(row).filter(([, value]) => value !== '')),
    });
    const contradictory = layouts.filter((row) => contradictionsIn(asLayout(row)).length > 0);
    expect(contradictory.map((row) => row.vehicleKey)).toEqual([truth.contradictoryLayoutVehicleKey]);
    expect(contradictory[0]).toMatchObject({ pumpKind: 'split', antiSinkValves: 'not-fitted' });
    const standing = layouts.filter((row) =>
      safetyFindings(asLayout(row)).some(({ status }) => status === 'stands'),
    );
    expect(standing.map((row) => row.vehicleKey)).toEqual([truth.brakeReserveFindingVehicleKey]);
    expect(standing[0]).toMatchObject({ antiSinkValves: 'fitted', rearBrakeAccumulator: 'not-fitted' });
    const told = new Set(layouts.map((row) => row.vehicleKey));
    expect([...vehicleOf.keys()].filter((key) => !told.has(key))).toEqual(truth.vehicleKeysWithoutLayout);
    for (const kind of ['single-outlet', 'split']) {
      expect(layouts.filter((row) => row.pumpKind === kind).length).toBeGreaterThan(15);
    }
    const open = layouts.filter((row) =>
      Object.values(row).some((value) => value === '' || value === 'unverified'),
    );
    expect(open.length).toBeGreaterThan(10);
    for (const row of layouts) {
      expect(row.seenBy).toMatch(/^technician T\d\d$/);
      expect(row.seenOn! < todayOn).toBe(true);
    }
  });

  test('history: known tasks and positions, after coming into service, odometers true or empty', () => {
    const tasks = new Set(ASSUMED_SERVICE_PLAN.flatMap((work) => work.tasks));
    expect(new Set(history.map((row) => row.task))).toEqual(tasks);
    for (const row of history) {
      const { inServiceOn, inServiceDay, path } = truth.vehicles.get(row.vehicleKey!)!;
      expect(row.doneOn! < todayOn && row.doneOn! >= inServiceOn).toBe(true);
      expect(row.position !== '').toBe(row.task === 'precharge-test');
      expect(row.odometer === '').toBe(row.odometerUnit === '');
      const replaced = row.vehicleKey === truth.instrumentChange.vehicleKey;
      if (row.odometer === '' || replaced) continue;
      const km = Number(row.odometer) * (row.odometerUnit === 'mi' ? MILE_KM : 1);
      const index = toEpochDay(row.doneOn!) - inServiceDay;
      expect(km).toBeGreaterThan(path.totalKmAtDayStart[index]! - 2);
      expect(km).toBeLessThanOrEqual(path.totalKmAtDayStart[index + 1]!);
    }
    const unread = history.filter((row) => row.odometer === '').length / history.length;
    expect(unread).toBeGreaterThan(0.04);
    expect(unread).toBeLessThan(0.18);
    const known = new Set(history.map((row) => row.vehicleKey));
    expect([...vehicleOf.keys()].filter((key) => !known.has(key))).toEqual(truth.vehicleKeysWithoutHistory);
  });

  test('by the assumed plan the fleet stands as a fleet does', () => {
    const counts = assumedStandings(demo, today);
    const share = (state: string): number => (counts.get(state) ?? 0) / counts.get('all')!;
    expect(share('overdue')).toBeGreaterThan(0.09);
    expect(share('overdue')).toBeLessThan(0.17);
    expect(share('due')).toBeGreaterThan(0.06);
    expect(share('due')).toBeLessThan(0.14);
    expect(share('due-soon')).toBeGreaterThan(0.1);
    expect(share('due-soon')).toBeLessThan(0.2);
    expect(counts.get('undetermined')).toBeGreaterThan(5);
    expect(counts.get('vehicles with an overdue safety test')).toBeGreaterThanOrEqual(3);
    expect(counts.get('vehicles with an overdue safety test')).toBeLessThanOrEqual(9);
  });

  test('no word in the files is outside the vocabulary: no maker, no model, no person', () => {
    for (const { name, text } of demo.files) {
      const foreign = new Set(
        (text.slice(text.indexOf('\n')).match(/[A-Za-z]{2,}/g) ?? [])
          .map((word) => word.toLowerCase())
          .filter((word) => !VOCABULARY.has(word)),
      );
      expect({ name, foreign: [...foreign] }).toEqual({ name, foreign: [] });
    }
  });
});

// Terms of the trade, plain words of the notes, and the invented names
const VOCABULARY = new Set(
  `
  tarn valley tarnholme skelmire valtarne tv tvp tvpa zz sa xsa tm ws ds sh dc or km mi
  standard urban stop start long distance rough road split single outlet unverified fitted not own section
  shared supply other integral remote adjustable mineral telematics workshop driver sheet odometer engine hours
  fluid change filter clean precharge test low pressure warning brake reserve anti sink hold regulator cycle
  hose and pipe inspection suspension front rear left right main accumulator technician outside
  counted the pump outlets vehicle on ramp pipes followed seen from below at annual card cover off valve block
  slight seepage return wiped look again customer said rides hard nothing found replaced system bled dark
  changed early had fine grey dust cap breather cleaned waiting two days for cut in often idle leak union
  tightened recharged tested
`
    .trim()
    .split(/\s+/),
);
