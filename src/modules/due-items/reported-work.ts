import { satisfyingTasksOf } from '../../core/due/baseline';
import type { ServiceProgramme } from '../../core/due/rule';
import { UNVERIFIED_LAYOUT } from '../../core/hydraulics/hydraulic-layout';
import { effectiveLayout } from '../../core/hydraulics/layout-conclusions';
import { expectedUnitPositions } from '../../core/hydraulics/unit-positions';
import { fromEpochDay, toEpochDay, type CalendarDate } from '../../core/shared/calendar-date';
import { meterTrack, type ReadingUnit } from '../../core/usage/meter-track';
import { totalAsShown } from './shown-total';
import type { Meter, VehicleRecords } from './vehicle-records';

/** Work as somebody reports it, with what the instruments showed. */
export interface ReportedWork {
  task: string;
  position: string | null;
  doneOn: CalendarDate;
  odometerValue: number | null;
  odometerUnit: 'km' | 'mi' | null;
  engineHours: number | null;
}

/** A reported meter value that does not go with an accepted reading; both as totals, in km or h. */
export interface MeterContradiction {
  meter: Meter;
  reportedTotal: number;
  reading: { on: CalendarDate; total: number };
  how: 'below-an-earlier-reading' | 'above-a-later-reading';
}

export interface WorkJudgement {
  /** tasks that the vehicle's rules ask for or follow up, by name; null without a programme in force */
  knownTasks: string[] | null;
  /** where the vehicle has gas units, or may have */
  knownPositions: string[];
  contradictions: MeterContradiction[];
}

// A value written down by hand is often rounded: to the next 10 km, to the whole hour (common practice, no
// published source).
const TOLERANCE: Readonly<Record<Meter, number>> = { odometer: 10, 'engine-hours': 1 };

export function judgeWork(
  records: VehicleRecords,
  programme: ServiceProgramme | null,
  work: ReportedWork,
): WorkJudgement {
  const { layout } = effectiveLayout(records.layout ?? UNVERIFIED_LAYOUT);
  const shown: [Meter, number | null, ReadingUnit | null][] = [
    ['odometer', work.odometerValue, work.odometerUnit],
    ['engine-hours', work.engineHours, 'h'],
  ];
  return {
    knownTasks: programme === null ? null : [...satisfyingTasksOf(programme.rules).keys()].sort(),
    knownPositions: expectedUnitPositions(layout)
      .filter(({ unit }) => unit !== 'not-expected')
      .map(({ position }) => position),
    contradictions: shown.flatMap(([meter, value, unit]) =>
      value === null || unit === null ? [] : contradictionsOf(records, meter, work.doneOn, value, unit),
    ),
  };
}

// Readings of the same day say nothing: the work may have come before or after them.
function contradictionsOf(
  records: VehicleRecords,
  meter: Meter,
  doneOn: CalendarDate,
  value: number,
  unit: ReadingUnit,
): MeterContradiction[] {
  const day = toEpochDay(doneOn);
  const reportedTotal = totalAsShown(records, meter, day, value, unit);
  const track = meterTrack(
    (records.readings ?? [])
      .filter((reading) => reading[3] === meter)
      .map(([on, shown, shownUnit], index) => ({
        id: String(index),
        day: on,
        value: shown,
        unit: shownUnit,
      })),
    (records.replacements ?? []).filter((replacement) => replacement.meter === meter),
  );
  const asReading = ({ day: on, total }: { day: number; total: number }) => ({ on: fromEpochDay(on), total });
  // the track never falls, so the nearest readings on either side are the ones to compare with
  const earlier = track.filter((point) => point.day < day).at(-1);
  const later = track.find((point) => point.day > day);
  const found: MeterContradiction[] = [];
  if (earlier !== undefined && reportedTotal < earlier.total - TOLERANCE[meter]) {
    found.push({ meter, reportedTotal, reading: asReading(earlier), how: 'below-an-earlier-reading' });
  }
  if (later !== undefined && reportedTotal > later.total + TOLERANCE[meter]) {
    found.push({ meter, reportedTotal, reading: asReading(later), how: 'above-a-later-reading' });
  }
  return found;
}
