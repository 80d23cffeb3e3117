import type { FittedUnit, PrechargeForecast, TaskCompletion } from '../../core/due/due-input';
import type { PrechargeLimit, ServiceProgramme } from '../../core/due/rule';
import { forecastPrecharge } from '../../core/precharge/forecast-precharge';
import { defaultPrechargeModel } from '../../core/precharge/precharge-model';
import { fromEpochDay, toEpochDay } from '../../core/shared/calendar-date';
import type { MeterPoint } from '../../core/usage/meter-track';
import type { UnitEventRecord, UnitRecord } from './vehicle-records';

const PRIOR = defaultPrechargeModel();

/** Turns what is recorded of a fitted unit into what the due engine takes. */
export function fittedUnitOf(unit: UnitRecord, programme: ServiceProgramme): FittedUnit {
  const earlier = unit.earlierFitments ?? [];
  const { track, totalKm } = distanceBefore(earlier);
  const events = unit.events ?? [];
  const [first] = earlier;
  return {
    unitId: unit.unitId,
    serialNumber: unit.serialNumber,
    typeCode: unit.typeCode,
    position: unit.position,
    fittedOn: unit.fittedOn,
    firstFittedOn: first === undefined ? unit.fittedOn : fromEpochDay(first.fromDay),
    vehicleTotalKmAtFitting: unit.vehicleTotalKmAtFitting,
    unitTotalKmAtFitting: totalKm,
    earlierTrack: track,
    earlierCompletions: events
      .filter(({ doneOn }) => doneOn < unit.fittedOn)
      .flatMap((event) => workOf(event, unit, kmOn(track, toEpochDay(event.doneOn)))),
    madeOn: unit.madeOn,
    lastChargedOn: events.findLast(({ kind }) => kind === 'charge')?.doneOn ?? null,
    nominalPrecharge20BarGauge: unit.nominalPrecharge20BarGauge,
    prechargeForecasts: prechargeForecastsOf(unit, programme),
  };
}

/** Tests and charges of a unit since it is where it is, as work on the vehicle at its position. */
export function workSinceFitting(unit: UnitRecord): TaskCompletion[] {
  return (unit.events ?? [])
    .filter(({ doneOn }) => doneOn >= unit.fittedOn)
    .flatMap((event) => workOf(event, unit, null));
}

/** The precharge that a limit of a rule means for a unit, bar gauge at 20 °C. */
export function limit20BarGaugeOf(limit: PrechargeLimit, nominal20BarGauge: number): number {
  return limit.bar ?? (limit.shareOfNominal ?? 0) * nominal20BarGauge;
}

// A charge ends with a pressure that is read, so it is a test as well; one that ends too low is no charge.
function workOf(event: UnitEventRecord, unit: UnitRecord, totalKm: number | null): TaskCompletion[] {
  if (event.outcome === 'inconclusive') return [];
  const tasks = event.kind === 'charge' ? ['recharge', 'precharge-test'] : ['precharge-test'];
  return tasks.map((task) => ({
    id: event.id,
    task,
    position: unit.position,
    unitId: unit.unitId,
    doneOn: event.doneOn,
    at: event.at,
    totalKm,
    totalHours: null,
    outcome: event.outcome === 'failed' ? 'failed' : 'done',
  }));
}

// What the unit travelled on other vehicles, as long as every fitment says with which odometer it began and ended.
function distanceBefore(earlier: NonNullable<UnitRecord['earlierFitments']>): {
  track: MeterPoint[];
  totalKm: number | null;
} {
  const track: MeterPoint[] = [];
  let total = 0;
  for (const { fromDay, untilDay, fromKm, untilKm } of earlier) {
    if (fromKm === null || untilKm === null) return { track: [], totalKm: null };
    track.push({ day: fromDay, total });
    total += untilKm - fromKm;
    track.push({ day: untilDay, total });
  }
  return { track, totalKm: total };
}

function kmOn(track: readonly MeterPoint[], day: number): number | null {
  const after = track.findIndex((point) => point.day >= day);
  const [before, next] = [track[after - 1], track[after]];
  if (next === undefined) return track.at(-1)?.total ?? null;
  if (next.day === day || before === undefined) return next.total;
  return before.total + ((next.total - before.total) * (day - before.day)) / (next.day - before.day);
}

function prechargeForecastsOf(unit: UnitRecord, { rules }: ServiceProgramme): PrechargeForecast[] {
  const limits = new Set<number>();
  for (const { prechargeLimit, positions } of rules) {
    if (prechargeLimit === null || (positions !== null && !positions.includes(unit.position))) continue;
    limits.add(limit20BarGaugeOf(prechargeLimit, unit.nominalPrecharge20BarGauge));
  }
  if (limits.size === 0) return [];
  const observations = (unit.events ?? []).map(({ id, kind, doneOn, precharge20BarGauge }) => ({
    id,
    kind,
    day: toEpochDay(doneOn),
    precharge20BarGauge,
  }));
  return [...limits].flatMap((limit20BarGauge) => {
    const outlook = forecastPrecharge(observations, unit.model ?? PRIOR, { limit20BarGauge });
    return outlook === null
      ? []
      : [{ limit20BarGauge, knownUntil: outlook.knownUntil, belowLimit: outlook.belowLimit }];
  });
}
