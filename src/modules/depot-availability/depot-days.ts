import { addDays, daysBetween } from '../../core/shared/calendar-date';
import type { DepotDayDto, VehicleAwayDto } from './dto/depot-days.dto';

/** Counts the vehicles of a depot day by day: one that is booked and off the road as well is away once. */
export function depotDays(
  fromOn: string,
  { retiredOn, needed, away }: { retiredOn: (string | null)[]; needed: number[]; away: VehicleAwayDto[] },
): DepotDayDto[] {
  const booked = needed.map(() => new Set<string>());
  const offRoad = needed.map(() => new Set<string>());
  for (const { vehicleId, cause, fromOn: first, untilOn } of away) {
    const end = Math.min(needed.length, daysBetween(fromOn, untilOn));
    for (let day = Math.max(0, daysBetween(fromOn, first)); day < end; day++)
      (cause === 'booking' ? booked : offRoad)[day]?.add(vehicleId);
  }
  return needed.map((neededOnRoad, day) => {
    const on = addDays(fromOn, day);
    const vehicles = retiredOn.filter((retired) => retired === null || retired > on).length;
    const inWorkshop = booked[day] ?? new Set();
    const standing = [...(offRoad[day] ?? [])].filter((id) => !inWorkshop.has(id)).length;
    return {
      on,
      vehicles,
      neededOnRoad,
      booked: inWorkshop.size,
      offRoad: standing,
      onRoad: Math.max(0, vehicles - inWorkshop.size - standing),
    };
  });
}
