import type { CalendarDate } from '../../core/shared/calendar-date';
import type { UnitPlacementState } from '../../core/hydraulics/unit-positions';

/** Where a unit was from a moment until a moment, in milliseconds. */
export interface PlacementPeriod {
  state: UnitPlacementState;
  vehicleId: string | null;
  /** null as well for a vehicle that this key may not see */
  registrationMark: string | null;
  position: string | null;
  depotName: string | null;
  fromAt: number;
  untilAt: number | null;
}

/** What has to be known of a unit to judge a pressure that was read on it. */
export interface MeasuredUnit {
  unitId: string;
  fleetId: string;
  serialNumber: string;
  typeId: string;
  typeCode: string;
  nominal20BarGauge: number;
  madeOn: CalendarDate | null;
  /** IANA zone in which its days are counted: of its depot, or of the last one it had */
  zone: string;
  /** earliest first */
  placements: PlacementPeriod[];
}

/** A place on a vehicle; both null on the bench. */
export type UnitPlace = { vehicleId: string; position: string } | { vehicleId: null; position: null };

export function periodAt({ placements }: MeasuredUnit, at: number): PlacementPeriod | null {
  return placements.find(({ fromAt, untilAt }) => fromAt <= at && (untilAt === null || at < untilAt)) ?? null;
}

/** Where the unit sat on a vehicle at a moment. */
export function placeAt(unit: MeasuredUnit, at: number): UnitPlace {
  return placeOf(periodAt(unit, at));
}

/** Where the unit sits on a vehicle now. */
export function presentPlace({ placements }: MeasuredUnit): UnitPlace {
  return placeOf(placements.find(({ untilAt }) => untilAt === null) ?? null);
}

/** The vehicles whose due items may follow from what happened to the unit at a moment. */
export function vehiclesTouched(unit: MeasuredUnit, at: number): string[] {
  const ids = [presentPlace(unit).vehicleId, placeAt(unit, at).vehicleId];
  return [...new Set(ids.filter((id) => id !== null))];
}

function placeOf(period: PlacementPeriod | null): UnitPlace {
  return period === null || period.vehicleId === null || period.position === null
    ? { vehicleId: null, position: null }
    : { vehicleId: period.vehicleId, position: period.position };
}
