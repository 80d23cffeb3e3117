import { deliveredVolume } from '../../../core/gas/delivered-volume';
import { EpochDay } from '../../../core/shared/calendar-date';
import { DemoGasUnit, truePrecharge20 } from './demo-gas-unit';
import { DemoVehicle } from './fleet-vehicles';
import { withLeak } from './gas-unit-decay';
import { UnitTestVisit } from './gas-unit-visits';
import { GasUnitWorkshop } from './gas-unit-workshop';
import { LayoutRecord, hasAntiSinkValves, hasRearBrakeAccumulator } from './hydraulic-layout-list';
import { instantWithinDay, localInstantText } from './local-clock';
import { CAST, isCast } from './cast';
import { NamedRandom } from './named-random';
import { present } from './present';
import { ReadVisit } from './service-history-list';
import { isWorkingDay } from './weekday-of';

/** Where the operator has real trouble: each on a vehicle of its own that no visit has seen since. */
export interface GasUnitTroubles {
  missingRearBrakeAccumulator: { vehicle: DemoVehicle; unit: DemoGasUnit; takenOutDay: EpochDay };
  /** The main accumulator began to leak after its last test: no forecast can know, a stopwatch does. */
  leakingMainAccumulator: { vehicle: DemoVehicle; unit: DemoGasUnit };
  failedWarningTest: SystemTestOccasion & { warningBarGauge: number };
  stopwatchTest: SystemTestOccasion & StopwatchReading;
}

/** A test of a vehicle's hydraulic system. */
export interface SystemTestOccasion {
  vehicleKey: string;
  /** RFC 3339, local to the depot. */
  doneAt: string;
  doneBy: string;
}

/** What a stopwatch, a measuring jug and a gauge told at an idling engine. */
export interface StopwatchReading {
  chargeSeconds: number;
  idleSeconds: number;
  pumpDeliveryLPerMin: number;
  gasVolumeCm3: number;
  nominalPrecharge20BarGauge: number;
  cutInBarGauge: number;
  cutOutBarGauge: number;
  gasTemperatureC: number;
}

const PUMP_L_PER_MIN = 0.75;
const SYSTEM_LEAK_L_PER_MIN = 0.07;
// the leak lets out this much of the logarithm of the pressure by today
const LEAK_LOG_LOSS = 0.85;

/** Plants the troubles into the lives of the units. */
export function gasUnitTroubles(
  workshop: GasUnitWorkshop,
  vehicles: readonly DemoVehicle[],
  layouts: readonly LayoutRecord[],
  visits: readonly ReadVisit[],
  unitVisits: readonly UnitTestVisit[],
  seed: number,
  today: EpochDay,
): GasUnitTroubles {
  const random = new NamedRandom(`${seed} troubles`);
  const layoutOf = new Map(layouts.map((record) => [record.vehicleKey, record]));
  const lastVisit = new Map<DemoVehicle, EpochDay>();
  for (const { vehicle, day } of [...visits, ...unitVisits]) {
    lastVisit.set(vehicle, Math.max(day, lastVisit.get(vehicle) ?? day));
  }
  const parts: readonly number[] = [CAST.contradictoryLayout, CAST.brakeReserveFinding];
  const open = random
    .shuffled(vehicles)
    .filter(({ number }) => !parts.includes(number) && !isCast(CAST.noLayout, number));
  const take = (isSuitable: (vehicle: DemoVehicle) => boolean, what: string): DemoVehicle => {
    const vehicle = present(open.find(isSuitable), `vehicle for ${what}`);
    open.splice(open.indexOf(vehicle), 1);
    return vehicle;
  };
  const unseenFor = (days: number) => (vehicle: DemoVehicle) =>
    (lastVisit.get(vehicle) ?? today) < today - days;

  const leaking = take(unseenFor(90), 'a leaking main accumulator');
  const withoutUnit = take((vehicle) => {
    const layout = layoutOf.get(vehicle.externalKey);
    return hasAntiSinkValves(layout) && hasRearBrakeAccumulator(layout) && unseenFor(30)(vehicle);
  }, 'a missing rear brake accumulator');
  const unwarned = take(unseenFor(15), 'a failed warning test');
  return {
    leakingMainAccumulator: { vehicle: leaking, unit: leakingUnit(workshop, leaking, today) },
    missingRearBrakeAccumulator: takenOutUnit(workshop, withoutUnit, today),
    failedWarningTest: {
      ...occasion(unwarned, workingDayBefore(today - 5), 0.41, random),
      warningBarGauge: 66,
    },
    stopwatchTest: {
      ...occasion(leaking, workingDayBefore(today), 0.6, random),
      ...stopwatchReading(present(workshop.fittedAt(leaking, 'main-accumulator'), 'unit'), today),
    },
  };
}

function leakingUnit(workshop: GasUnitWorkshop, vehicle: DemoVehicle, today: EpochDay): DemoGasUnit {
  const unit = present(workshop.fittedAt(vehicle, 'main-accumulator'), 'main accumulator');
  const leakDays = 60;
  unit.decay = withLeak(unit.decay, today - leakDays, leakDays, LEAK_LOG_LOSS);
  return unit;
}

function takenOutUnit(
  workshop: GasUnitWorkshop,
  vehicle: DemoVehicle,
  today: EpochDay,
): GasUnitTroubles['missingRearBrakeAccumulator'] {
  const { depot } = vehicle;
  const unit = present(workshop.fittedAt(vehicle, 'rear-brake-accumulator'), 'rear brake accumulator');
  const takenOutDay = workingDayBefore(today - 11);
  const moment = { day: takenOutDay, at: instantWithinDay(takenOutDay, 0.55, depot.zone) };
  workshop.move(unit, moment, { state: 'away-for-recharge', depot }, 'none on the shelf to fit instead');
  return { vehicle, unit, takenOutDay };
}

// what the regulator does with this accumulator: neither quite slow nor quite at once, so half way between
function stopwatchReading(unit: DemoGasUnit, today: EpochDay): StopwatchReading {
  const { gasVolumeCm3, nominalPrecharge20BarGauge } = unit.type.body;
  const pressures = { cutInBarGauge: 141, cutOutBarGauge: 168, gasTemperatureC: 24 };
  const { isothermalL, fastL } = deliveredVolume({
    gasVolumeL: gasVolumeCm3 / 1000,
    precharge20BarGauge: truePrecharge20(unit, today - 1),
    lowBarGauge: pressures.cutInBarGauge,
    highBarGauge: pressures.cutOutBarGauge,
    gasTemperatureC: pressures.gasTemperatureC,
  });
  const usableL = (isothermalL + fastL) / 2;
  // ten cycles were timed
  const mean = (seconds: number): number => Math.max(0.01, Math.round(seconds * 100) / 100);
  return {
    ...pressures,
    gasVolumeCm3,
    nominalPrecharge20BarGauge,
    chargeSeconds: mean((60 * usableL) / (PUMP_L_PER_MIN - SYSTEM_LEAK_L_PER_MIN)),
    idleSeconds: mean((60 * usableL) / SYSTEM_LEAK_L_PER_MIN),
    pumpDeliveryLPerMin: PUMP_L_PER_MIN,
  };
}

function occasion(
  vehicle: DemoVehicle,
  day: EpochDay,
  share: number,
  random: NamedRandom,
): SystemTestOccasion {
  const { zone } = vehicle.depot;
  return {
    vehicleKey: vehicle.externalKey,
    doneAt: localInstantText(instantWithinDay(day, share, zone), zone),
    doneBy: `technician T${String(random.integer(1, 14)).padStart(2, '0')}`,
  };
}

function workingDayBefore(day: EpochDay): EpochDay {
  let before = day - 1;
  while (!isWorkingDay(before)) before -= 1;
  return before;
}
