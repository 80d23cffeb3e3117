import type { CalendarDate } from '../../core/shared/calendar-date';
import type { PrechargeModelInForce } from '../precharge-models/precharge-models.service';
import type { GasUnitEvent } from './gas-unit-event.entity';
import type { LimitInForce } from './limit-in-force';
import type { MeasuredUnit } from './measured-unit';

/** A unit with everything that its forecast is made from. */
export interface UnitStanding {
  unit: MeasuredUnit;
  /** what counts, earliest first */
  events: GasUnitEvent[];
  limit: LimitInForce;
  learnt: PrechargeModelInForce;
  todayOn: CalendarDate;
}
