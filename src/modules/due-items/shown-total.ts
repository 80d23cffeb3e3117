import type { EpochDay } from '../../core/shared/calendar-date';
import { totalOfValue, type ReadingUnit } from '../../core/usage/meter-track';
import type { Meter, VehicleRecords } from './vehicle-records';

/** The total across all instruments that a value means which the instrument of that day showed. */
export function totalAsShown(
  { replacements }: Pick<VehicleRecords, 'replacements'>,
  meter: Meter,
  day: EpochDay,
  value: number,
  unit: ReadingUnit,
): number {
  const ofMeter = (replacements ?? []).filter((replacement) => replacement.meter === meter);
  return totalOfValue({ day, value, unit }, ofMeter);
}
