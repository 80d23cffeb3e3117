import type { PlannedRow } from '../../platform/bulk/planned-row';
import type { FieldError } from '../../platform/errors/coded-error';
import type { GasUnitEvent } from './gas-unit-event.entity';
import { keyOfAnotherUnit, voidedUnderThisKey } from './gas-unit-events.errors';
import type { MeasuredEvent } from './measured-event';

export type PlannedEvent = PlannedRow<GasUnitEvent, MeasuredEvent>;

/**
 * Decides what becomes of each row. A row with a known key corrects that record. A row without a key that says
 * what is on file already changes nothing: the same reading of the same unit at the same moment. What was voided
 * stays voided, however often a file repeats it.
 *
 * @param rows what each row says, or what is wrong with it
 * @param stored records of the units' moments, voided ones too, and those that have one of the keys
 */
export function planGasUnitEvents(
  rows: readonly (MeasuredEvent | { faults: FieldError[] })[],
  stored: readonly GasUnitEvent[],
): PlannedEvent[] {
  const byKey = new Map<string, GasUnitEvent | MeasuredEvent>();
  const byIdentity = new Map<string, GasUnitEvent | MeasuredEvent>();
  const remember = (event: GasUnitEvent | MeasuredEvent): void => {
    if (event.externalKey !== null) byKey.set(event.externalKey, event);
    byIdentity.set(identityOf(event), event);
  };
  stored.forEach(remember);

  return rows.map((event): PlannedEvent => {
    if ('faults' in event) return { outcome: 'rejected', errors: event.faults };
    const key = event.externalKey;
    const known = key === null ? byIdentity.get(identityOf(event)) : byKey.get(key);
    if (known === undefined) {
      remember(event);
      return { outcome: 'created', record: event };
    }
    if (key === null) return { outcome: 'unchanged', record: known };
    if (known.unitId !== event.unitId) return { outcome: 'rejected', errors: [keyOfAnotherUnit(key)] };
    if (
      identityOf(known) === identityOf(event) &&
      known.gaugeId === event.gaugeId &&
      known.doneBy === event.doneBy &&
      known.note === event.note
    ) {
      return { outcome: 'unchanged', record: known };
    }
    if ('voidedAt' in known && known.voidedAt !== null) {
      return { outcome: 'rejected', errors: [voidedUnderThisKey(key)] };
    }
    byIdentity.delete(identityOf(known));
    Object.assign(known, event);
    remember(known);
    return { outcome: 'updated', record: known };
  });
}

function identityOf(event: MeasuredEvent): string {
  const { unitId, kind, doneAt, pressureBarGauge, gasTemperatureC, ambientBar } = event;
  return JSON.stringify([unitId, kind, doneAt.getTime(), pressureBarGauge, gasTemperatureC, ambientBar]);
}
