import { EpochDay } from '../../../core/shared/calendar-date';
import type { UnitPosition } from '../../../core/hydraulics/unit-positions';
import { ATMOSPHERE_BAR } from '../../../core/shared/units-of-measure';
import { DemoDepot } from './depots';
import { DemoVehicle } from './fleet-vehicles';
import { TrueDecay, logLossUntil } from './gas-unit-decay';
import { GaugeReading } from './gas-unit-reading';
import { DemoUnitType, RECHARGE_SHARE } from './gas-unit-types';
import { dayStartAt } from './local-clock';
import { present } from './present';

/** Where a unit was; without an end, where it is. */
export interface DemoPlacement {
  state: 'fitted' | 'on-the-shelf' | 'away-for-recharge' | 'scrapped';
  fromAt: number;
  untilAt: number | undefined;
  vehicle: DemoVehicle | undefined;
  position: UnitPosition | undefined;
  /** Whose shelf, or whose unit that is away or scrapped: the time zone is that of the depot. */
  depot: DemoDepot;
  note: string;
  vehicleTotalKmFrom: number | undefined;
  vehicleTotalKmUntil: number | undefined;
}

/** A pressure that was read on a unit. */
export interface DemoUnitTest {
  unit: DemoGasUnit;
  placement: DemoPlacement;
  kind: 'precharge-test' | 'charge';
  day: EpochDay;
  doneAt: number;
  doneBy: string;
  reading: GaugeReading;
  /** What is true at that moment, of a charge after it. */
  true20BarGauge: number;
  note: string;
}

/** A gas unit as it really is; the files tell only part of it. */
export interface DemoGasUnit {
  externalKey: string;
  type: DemoUnitType;
  serialNumber: string;
  madeDay: EpochDay;
  isMadeDayKnown: boolean;
  decay: TrueDecay;
  /** In order; the first is that of the manufacture. */
  charges: { day: EpochDay; true20BarGauge: number }[];
  placements: DemoPlacement[];
  tests: DemoUnitTest[];
}

/** Precharge at 20 °C that a unit really has on a day, bar gauge; a charge counts from the beginning of its day. */
export function truePrecharge20(unit: Pick<DemoGasUnit, 'charges' | 'decay'>, day: EpochDay): number {
  const charge = present(
    unit.charges.findLast((each) => each.day <= day),
    `charge before day ${day}`,
  );
  const lost = logLossUntil(unit.decay, day) - logLossUntil(unit.decay, charge.day);
  return (charge.true20BarGauge + ATMOSPHERE_BAR) * Math.exp(-lost) - ATMOSPHERE_BAR;
}

/** Precharge as a share of the nominal one. */
export function trueShare(unit: DemoGasUnit, day: EpochDay): number {
  return truePrecharge20(unit, day) / unit.type.body.nominalPrecharge20BarGauge;
}

/**
 * First day since its last charge on which a unit is below the share at which it is recharged; undefined where
 * that is after `untilDay`.
 */
export function dayBelowLimit(unit: DemoGasUnit, untilDay: EpochDay): EpochDay | undefined {
  let [low, high] = [lastChargeDay(unit) - 1, untilDay + 1];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (trueShare(unit, middle) < RECHARGE_SHARE) high = middle;
    else low = middle;
  }
  return high > untilDay ? undefined : high;
}

/** Day of the last charge, that of the manufacture included. */
export function lastChargeDay({ charges }: DemoGasUnit): EpochDay {
  return present(charges.at(-1), 'charge').day;
}

/** Nothing has been done with the unit since the beginning of a day. */
export function isSettled(unit: DemoGasUnit, day: EpochDay): boolean {
  const { fromAt, depot } = presentPlacement(unit);
  const lastAt = Math.max(fromAt, unit.tests.at(-1)?.doneAt ?? -Infinity);
  return lastAt < dayStartAt(day, depot.zone);
}

/** Where a unit is now. */
export function presentPlacement(unit: DemoGasUnit): DemoPlacement {
  return present(unit.placements.at(-1), 'placement');
}
