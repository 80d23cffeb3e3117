import { EpochDay, localDateAt, toEpochDay } from '../../../core/shared/calendar-date';
import { CAST } from './cast';
import { DemoVehicle } from './fleet-vehicles';
import { ClockChange, latestClockChange } from './local-clock';
import { present } from './present';

/** A moment around a clock change at which a vehicle on night duty reported. */
export interface ClockChangeOccasion {
  vehicle: DemoVehicle;
  day: EpochDay;
  readAt: number;
  change: ClockChange;
  /** `repeated-first` and `repeated-second` lie in the hour that the clocks show twice. */
  when: 'before' | 'repeated-first' | 'repeated-second' | 'after';
}

const MINUTE = 60_000;

/**
 * For each night-duty vehicle a moment on either side of the latest clock change, and two within the repeated
 * hour of the latest change back: the later one shows the earlier wall time.
 */
export function clockChangeOccasions(
  vehicles: readonly DemoVehicle[],
  today: EpochDay,
): ClockChangeOccasion[] {
  return CAST.nightDuty.flatMap((number) => {
    const vehicle = present(
      vehicles.find((each) => each.number === number),
      'night-duty vehicle',
    );
    const { zone } = vehicle.depot;
    const latest = present(latestClockChange(zone, today), `clock change in ${zone}`);
    const latestBack = present(latestClockChange(zone, today, 'back'), `change back in ${zone}`);
    const moment = (
      change: ClockChange,
      minutes: number,
      when: ClockChangeOccasion['when'],
    ): ClockChangeOccasion => {
      const readAt = change.changeAt + minutes * MINUTE;
      return { vehicle, day: toEpochDay(localDateAt(readAt, zone)), readAt, change, when };
    };
    return [
      moment(latest, -95, 'before'),
      moment(latest, 95, 'after'),
      moment(latestBack, -20, 'repeated-first'),
      moment(latestBack, 20, 'repeated-second'),
    ];
  });
}
