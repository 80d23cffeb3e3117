import { localDateAt } from '../../core/shared/calendar-date';
import type { TrendPicture } from './trend-picture';
import type { PlacementPeriod } from './measured-unit';
import type { UnitStanding } from './unit-standing';
import { observationsOf, unitOutlook } from './unit-outlook';

/** What the picture of a unit's trend shows; the numbers are those of its forecast. */
export function trendOf({ unit, events, limit, learnt, todayOn }: UnitStanding): TrendPicture {
  const { zone } = unit;
  const told = unitOutlook(observationsOf(events, zone), learnt.model, limit.limit20BarGauge, todayOn);
  const { earliestOn = null, medianOn = null, latestOn = null } = told?.figures ?? {};
  const leftOut = new Set(told?.outlook.leftOut.map(({ id }) => id));
  const dayOf = (at: Date): string => localDateAt(at.getTime(), zone);
  return {
    serialNumber: unit.serialNumber,
    unitType: unit.typeCode,
    nominal20BarGauge: limit.nominal20BarGauge,
    limit20BarGauge: limit.limit20BarGauge,
    tests: events
      .filter(({ kind }) => kind === 'precharge-test')
      .map(({ id, doneAt, precharge20BarGauge, outcome }) => ({
        on: dayOf(doneAt),
        precharge20BarGauge,
        mark: leftOut.has(id) ? 'left-out' : outcome,
      })),
    fit: told?.figures.band ?? [],
    dueWindow: earliestOn == null ? null : { earliestOn, medianOn, latestOn },
    recharges: events
      .filter(({ kind }) => kind === 'charge')
      .map(({ doneAt, precharge20BarGauge }) => ({
        on: dayOf(doneAt),
        label: `charged to ${precharge20BarGauge.toFixed(1)} bar`,
      })),
    moves: unit.placements.map((period) => ({
      on: localDateAt(period.fromAt, zone),
      label: labelOf(period),
    })),
  };
}

function labelOf({ state, vehicleId, registrationMark, position, depotName }: PlacementPeriod): string {
  switch (state) {
    case 'fitted':
      return `${registrationMark ?? vehicleId ?? 'a vehicle'}, ${position ?? 'position not known'}`;
    case 'on-the-shelf':
      return depotName === null ? 'on the shelf' : `on the shelf at ${depotName}`;
    case 'away-for-recharge':
      return 'away for recharge';
    case 'scrapped':
      return 'scrapped';
  }
}
