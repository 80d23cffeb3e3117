import { parseInstant } from '../../core/shared/instant';
import type { ReadingUnit } from '../../core/usage/meter-track';
import { keyOfAnotherVehicle, noSuchVehicle, type PlannedRow } from '../../platform/bulk/planned-row';
import { findingsOf, MeterJudge, type ReadingFindings } from './meter-judge';
import { keyOfAnotherReading, unitOfAnotherMeter } from './odometer-readings.errors';
import type { OdometerReading } from './odometer-reading.entity';
import type { OdometerReadingRow, ReadingOnFile, VehicleHistory } from './vehicle-history';

/** A reading to record, with what was found when it was judged. */
export type NewReading = Omit<ReadingOnFile, 'id'> &
  ReadingFindings &
  Partial<Pick<OdometerReading, 'decidedBy' | 'decidedAt' | 'decisionNote'>> & { fleetId: string };

/** The same with its identity, ready to be stored. */
export type StampedReading = NewReading & Pick<OdometerReading, 'id' | 'recordedAt'>;

export type PlannedReading = PlannedRow<ReadingOnFile, NewReading>;

/**
 * Decides what becomes of each row, in the order of their instants: each is judged against the accepted
 * readings on file and against the rows before it. A row that is on file changes nothing, whatever was
 * decided about it meanwhile; a key that stands for another reading is refused, because a reading is never
 * altered.
 *
 * @param onFile readings that have one of the keys, or are the same as one of the rows
 */
export function planReadings(
  rows: readonly OdometerReadingRow[],
  histories: readonly VehicleHistory[],
  onFile: readonly ReadingOnFile[],
  now: number,
): PlannedReading[] {
  const historyOf = new Map(histories.map((history) => [history.vehicleId, history]));
  const judges = new Map<string, MeterJudge>();
  const byKey = new Map<string, ReadingOnFile | NewReading>();
  const byContent = new Map<string, ReadingOnFile | NewReading>();
  const remember = (reading: ReadingOnFile | NewReading): void => {
    if (reading.externalKey !== null) byKey.set(reading.externalKey, reading);
    byContent.set(contentOf(reading), reading);
  };
  onFile.forEach(remember);

  const plan = (row: OdometerReadingRow): PlannedReading => {
    const history = historyOf.get(row.vehicleId);
    if (history === undefined) return { outcome: 'rejected', errors: [noSuchVehicle(row.vehicleId)] };
    const reading = completed(row, history);
    const { meter, unit, externalKey } = reading;
    if ((meter === 'engine-hours') !== (unit === 'h')) {
      return { outcome: 'rejected', errors: [unitOfAnotherMeter(meter, unit)] };
    }
    const sameKey = externalKey === null ? undefined : byKey.get(externalKey);
    if (sameKey !== undefined) {
      if (contentOf(sameKey) === contentOf(reading) && sameKey.unit === unit) {
        return { outcome: 'unchanged', record: sameKey };
      }
      const error =
        sameKey.vehicleId === reading.vehicleId
          ? keyOfAnotherReading(sameKey)
          : keyOfAnotherVehicle(externalKey ?? '');
      return { outcome: 'rejected', errors: [error] };
    }
    const same = byContent.get(contentOf(reading));
    if (same !== undefined) return { outcome: 'unchanged', record: same };

    const judgeKey = `${reading.vehicleId} ${meter}`;
    const judge = judges.get(judgeKey) ?? new MeterJudge(history, meter, now);
    judges.set(judgeKey, judge);
    const entered = judge.entered(reading);
    const record = { ...reading, fleetId: history.fleetId, ...findingsOf(judge.judge(entered), unit) };
    remember(record);
    if (record.state === 'quarantined') return { outcome: 'quarantined', record };
    judge.accept(entered);
    return { outcome: 'created', record };
  };

  const planned: PlannedReading[] = [];
  const inOrder = rows
    .map((row, place) => ({ row, place, at: parseInstant(row.readAt, 'readAt') }))
    .sort((a, b) => a.at - b.at || a.place - b.place);
  for (const { row, place } of inOrder) planned[place] = plan(row);
  return planned;
}

function completed(row: OdometerReadingRow, history: VehicleHistory): Omit<ReadingOnFile, 'id'> {
  const meter = row.meter ?? 'odometer';
  const at = parseInstant(row.readAt, 'readAt');
  return {
    vehicleId: row.vehicleId,
    meter,
    value: row.value,
    unit: row.unit ?? (meter === 'odometer' ? odometerUnitAt(history, at) : 'h'),
    at,
    source: row.source,
    externalKey: row.externalKey ?? null,
  };
}

// an instrument that was put in may count in another unit than the one the vehicle came with
function odometerUnitAt({ replacements, odometerUnit }: VehicleHistory, at: number): ReadingUnit {
  const earlier = replacements.filter((each) => each.meter === 'odometer' && each.at <= at);
  return earlier.at(-1)?.newUnit ?? odometerUnit;
}

function contentOf({ vehicleId, meter, at, value, source }: Omit<ReadingOnFile, 'id'>): string {
  return `${vehicleId} ${meter} ${at} ${value} ${source}`;
}
