import { DateTime } from 'luxon';
import {
  ASSUMED_EARLY_DAYS,
  ASSUMED_LATE_DAYS,
  ASSUMED_SERVICE_PLAN,
  ASSUMED_SEVERITY,
} from '../../../src/cli/demo/tarn-valley/assumed-service-plan';
import { type DutyClass } from '../../../src/cli/demo/tarn-valley/fleet-vehicles';
import { type TarnValleyFleet } from '../../../src/cli/demo/tarn-valley/tarn-valley-fleet';
import { toEpochDay } from '../../../src/core/shared/calendar-date';
import { type Row, rowsOf } from './demo-file-rows';

/** How many items stand where, by the assumed plan, the true use and the files alone. */
export function assumedStandings(demo: TarnValleyFleet, today: number): Map<string, number> {
  const [vehicles, layouts, history] = ['vehicles.csv', 'hydraulic-layouts.csv', 'service-history.csv'].map(
    (name) => rowsOf(demo, name),
  ) as [Row[], Row[], Row[]];
  const counts = new Map<string, number>();
  const count = (state: string): void => void counts.set(state, (counts.get(state) ?? 0) + 1);
  const latest = new Map<string, string>();
  for (const row of history) {
    const key = `${row.vehicleKey!} ${row.task!} ${row.position!}`;
    if (row.doneOn! > (latest.get(key) ?? '')) latest.set(key, row.doneOn!);
  }
  const layoutOf = new Map(layouts.map((row) => [row.vehicleKey, row]));
  for (const vehicle of vehicles) {
    const key = vehicle.externalKey!;
    const { path, inServiceDay } = demo.truth.vehicles.get(key)!;
    const total = path.totalKmAtDayStart;
    const recent = Math.min(180, total.length - 1);
    const kmPerDay = (total.at(-1)! - total.at(-1 - recent)!) / recent;
    const severity = ASSUMED_SEVERITY[vehicle.dutyClass as DutyClass];
    const layout = layoutOf.get(key);
    const contradictory = key === demo.truth.contradictoryLayoutVehicleKey;
    const split = layout?.pumpKind === 'split';
    const antiSink = !contradictory && (split || layout?.antiSinkValves === 'fitted');
    const rearBrake = !contradictory && (split || layout?.rearBrakeAccumulator === 'fitted');
    const positions = ['front-left', 'front-right', 'rear-left', 'rear-right']
      .map((corner) => `suspension-${corner}`)
      .concat('main-accumulator', rearBrake ? 'rear-brake-accumulator' : []);
    let safetyOverdue = false;
    for (const work of ASSUMED_SERVICE_PLAN) {
      const items = work.tasks
        .filter((task) => task !== 'anti-sink-hold-test' || antiSink)
        .flatMap((task) =>
          (task === 'precharge-test' ? positions : ['']).map((position) => `${key} ${task} ${position}`),
        );
      for (const item of items) {
        count('all');
        const from = latest.get(item) ?? vehicle.inServiceOn!;
        if (from === '') {
          count('undetermined');
          continue;
        }
        const months = work.everyMonths * severity + 1e-9;
        const byTime = DateTime.fromISO(from, { zone: 'utc' })
          .plus({ months: Math.floor(months) })
          .plus({ days: Math.floor((months % 1) * 30) });
        const fromKm = total[toEpochDay(from) - inServiceDay]!;
        const dueKm = work.everyKm === undefined ? Infinity : fromKm + work.everyKm * severity;
        const reached = total.findIndex((km) => km >= dueKm);
        const byDistance =
          reached >= 0 ? inServiceDay + reached : today + Math.ceil((dueKm - total.at(-1)!) / kmPerDay);
        const dueIn = Math.min(toEpochDay(byTime.toFormat('yyyy-MM-dd')), byDistance) - today;
        const state =
          dueIn < -ASSUMED_LATE_DAYS
            ? 'overdue'
            : dueIn <= 0
              ? 'due'
              : dueIn <= ASSUMED_EARLY_DAYS
                ? 'due-soon'
                : 'not-due';
        count(state);
        safetyOverdue ||= state === 'overdue' && work.name === 'safety-tests';
      }
    }
    if (safetyOverdue) count('vehicles with an overdue safety test');
  }
  return counts;
}
