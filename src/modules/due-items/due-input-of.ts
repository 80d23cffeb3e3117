import type { DueInput } from '../../core/due/due-input';
import type { ServiceProgramme } from '../../core/due/rule';
import { toEpochDay } from '../../core/shared/calendar-date';
import { UNVERIFIED_LAYOUT } from '../../core/hydraulics/hydraulic-layout';
import { effectiveLayout } from '../../core/hydraulics/layout-conclusions';
import { expectedUnitPositions } from '../../core/hydraulics/unit-positions';
import { meterTrack, type InstrumentReplacement, type MeterPoint } from '../../core/usage/meter-track';
import {
  estimateUsage,
  forecastUsage,
  type UsageEstimate,
  type UsageRecord,
} from '../../core/usage/usage-estimate';
import type { MeterUnit, UsageForecast } from '../../core/usage/usage-forecast';
import type { UsageModel } from '../../core/usage/usage-model';
import { fittedUnitOf, workSinceFitting } from './fitted-unit-of';
import { totalAsShown } from './shown-total';
import type { Meter, SystemTestRecord, VehicleRecords } from './vehicle-records';

export type UsageModelOf = (fleetId: string, meter: Meter, dutyClass: string) => UsageModel;

/** What the records say of one meter: its total by day, the present rate and the forecast. */
export interface MeterUse {
  track: MeterPoint[];
  estimate: UsageEstimate;
  forecast: UsageForecast | null;
}

/** The class of the duty that the vehicle does now. */
export function presentDutyClass(records: Pick<VehicleRecords, 'dutyClass' | 'dutyChanges'>): string {
  return records.dutyChanges?.at(-1)?.[1] ?? records.dutyClass;
}

export function meterUnitOf(meter: Meter): MeterUnit {
  return meter === 'odometer' ? 'km' : 'h';
}

/** What is recorded of one meter, with its instruments chained into one total. */
export function usageRecordOf(records: VehicleRecords, meter: Meter): UsageRecord & { track: MeterPoint[] } {
  const readings = (records.readings ?? []).filter((reading) => reading[3] === meter);
  return {
    track: meterTrack(
      readings.map(([day, value, unit], index) => ({ id: String(index), day, value, unit })),
      replacementsOf(records, meter),
    ),
    dutyChangeDays: (records.dutyChanges ?? []).map(([day]) => day),
    offRoad: (records.offRoad ?? []).map(([from, until]) => ({ fromDay: from, untilDay: until })),
    statedPerYear: meter === 'odometer' ? records.statedYearlyDistanceKm : null,
  };
}

export function meterUseOf(records: VehicleRecords, meter: Meter, modelOf: UsageModelOf): MeterUse {
  const record = usageRecordOf(records, meter);
  const model = modelOf(records.fleetId, meter, presentDutyClass(records));
  const estimate = estimateUsage(record, model);
  return { track: record.track, estimate, forecast: forecastUsage(estimate, model) };
}

/** Instruments of a meter that were taken out, with what they last showed. */
export function replacementsOf(
  { replacements }: Pick<VehicleRecords, 'replacements'>,
  meter: Meter,
): (InstrumentReplacement & { meter: Meter })[] {
  return (replacements ?? []).filter((replacement) => replacement.meter === meter);
}

/** Turns what is recorded of a vehicle into what the due engine takes. */
export function dueInputOf(
  records: VehicleRecords,
  programme: ServiceProgramme,
  modelOf: UsageModelOf,
): DueInput {
  const { layout } = effectiveLayout(records.layout ?? UNVERIFIED_LAYOUT);
  const distance = meterUseOf(records, 'odometer', modelOf);
  const hours = meterUseOf(records, 'engine-hours', modelOf);
  return {
    programme,
    inServiceOn: records.inServiceOn,
    inServiceTotalKm: records.inServiceOdometerKm,
    inServiceTotalHours: records.inServiceEngineHours,
    dutyClass: presentDutyClass(records),
    layout,
    odometerTrack: distance.track,
    hoursTrack: hours.track,
    distanceForecast: distance.forecast,
    hoursForecast: hours.forecast,
    completions: [
      ...(records.completions ?? []).map(({ odometerValue, odometerUnit, engineHours, ...completion }) => ({
        ...completion,
        unitId: null,
        totalKm:
          odometerValue === null || odometerUnit === null
            ? null
            : totalAsShown(records, 'odometer', toEpochDay(completion.doneOn), odometerValue, odometerUnit),
        totalHours:
          engineHours === null
            ? null
            : totalAsShown(records, 'engine-hours', toEpochDay(completion.doneOn), engineHours, 'h'),
      })),
      ...(records.systemTests ?? []).map((test) => ({
        ...test,
        task: settledTask(test),
        position: null,
        unitId: null,
        totalKm: null,
        totalHours: null,
      })),
      ...records.units.flatMap(workSinceFitting),
    ],
    positions: expectedUnitPositions(layout),
    units: records.units.map((unit) => fittedUnitOf(unit, programme)),
  };
}

// Cut-in or cut-out out of its range is a fault of the regulator: the whole regulator test is owed. Read within their
// range they settle nothing, for the cycle was not timed.
function settledTask({ task, outcome }: SystemTestRecord): string {
  return task === 'cut-in-cut-out-reading' && outcome === 'failed' ? 'regulator-cycle-test' : task;
}
