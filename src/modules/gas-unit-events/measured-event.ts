import type { GasUnitEvent } from './gas-unit-event.entity';
import { judgePrecharge } from '../../core/tests/judge-precharge';
import type { MeasuredPrecharge } from './measure-precharge';
import type { LimitInForce } from './limit-in-force';

/** A test or charge to record, with every field decided. */
export type MeasuredEvent = Pick<
  GasUnitEvent,
  | 'unitId'
  | 'vehicleId'
  | 'position'
  | 'kind'
  | 'doneAt'
  | 'pressureBarGauge'
  | 'gasTemperatureC'
  | 'ambientBar'
  | 'altitudeM'
  | 'precharge20BarGauge'
  | 'idealPrecharge20BarGauge'
  | 'outcome'
  | 'outcomeReasons'
  | 'limits'
  | 'gaugeId'
  | 'gaugeOverdue'
  | 'doneBy'
  | 'note'
  | 'externalKey'
>;

export function measuredEvent(
  unitId: string,
  { row, doneAt, place, normalised, gaugeOverdue }: MeasuredPrecharge,
  limit: LimitInForce,
): MeasuredEvent {
  const { kind, pressureBarGauge, gasTemperatureC, doneBy } = row;
  const { precharge20BarGauge, idealPrecharge20BarGauge, ambientBar, likelyFahrenheitReadingC } = normalised;
  const { outcome, reasons } = judgePrecharge(
    { kind, precharge20BarGauge, gasTemperatureC, likelyFahrenheitReadingC, gaugeOverdue },
    limit,
  );
  const { nominal20BarGauge, limit20BarGauge, ruleCode } = limit;
  return {
    unitId,
    ...place,
    kind,
    doneAt: new Date(doneAt),
    pressureBarGauge,
    gasTemperatureC,
    ambientBar,
    altitudeM: row.altitudeM ?? null,
    precharge20BarGauge,
    idealPrecharge20BarGauge,
    outcome,
    outcomeReasons: reasons,
    limits: { nominal20BarGauge, limit20BarGauge, ruleCode },
    gaugeId: row.gaugeId ?? null,
    gaugeOverdue,
    doneBy,
    note: row.note ?? null,
    externalKey: row.externalKey ?? null,
  };
}
