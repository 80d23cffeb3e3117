import type { Mark } from '../../../core/due/due-item';
import type { Reasoning } from '../../../core/due/reasoning';
import {
  LIMIT_KINDS,
  RULE_KINDS,
  type Consumable,
  type LimitKind,
  type RuleKind,
} from '../../../core/due/rule';
import { DUE_STATES, type DueState } from '../../../core/due/state';
import { ApiProperty } from '@nestjs/swagger';
import type { DueItemRow } from '../due-item-row';

export class MissingFactDto {
  /** @example in-service-date */
  code!: string;
  /** What to record, in words. */
  sentence!: string;
}

export class ConsumableDto {
  /** @example mineral fluid */
  item!: string;
  quantity!: number;
  /** @example l */
  unit!: string;
}

/** One piece of work that a vehicle owes, or will owe. */
export class DueItemDto {
  id!: string;
  vehicleId!: string;
  /** Stable for a vehicle and a programme. */
  key!: string;
  /** Which interval it is about: another one after every completion that moves the item. */
  cycle!: string;
  ruleCode!: string;
  task!: string;
  title!: string;
  @ApiProperty({ enum: RULE_KINDS })
  kind!: RuleKind;
  /** Where, for work on one gas unit. */
  position!: string | null;
  unitId!: string | null;
  /** A vehicle whose safety-critical item is overdue is on hold. */
  safetyCritical!: boolean;
  /** On `todayOn`. */
  @ApiProperty({ enum: DUE_STATES })
  state!: DueState;
  /** Today at the vehicle's depot. */
  @ApiProperty({ format: 'date' })
  todayOn!: string;
  /** The limit that binds. */
  @ApiProperty({ enum: LIMIT_KINDS, nullable: true, type: String })
  driver!: LimitKind | null;
  /** From this day the work may be done. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  earlyOn!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  dueOn!: string | null;
  /** After this day the item is overdue. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  lateOn!: string | null;
  /** The due date would be this early with a probability of 10 %. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  earliestOn!: string | null;
  /** The due date would be later than this with a probability of 10 %. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  latestOn!: string | null;
  /** No limit is reached as far as the forecasts look. */
  beyondHorizon!: boolean;
  /** Total distance at which the distance limit is reached. */
  dueOdometerKm!: number | null;
  dueEngineHours!: number | null;
  /** Some limits cannot be told; the date comes from the others. */
  partial!: boolean;
  missing!: MissingFactDto[];
  /** Values in the result that nobody recorded as such. */
  @ApiProperty({ type: [String] })
  marks!: Mark[];
  doBefore!: string[];
  satisfies!: string[];
  labourMinutes!: number | null;
  competences!: string[];
  bayKind!: string | null;
  @ApiProperty({ type: [ConsumableDto] })
  consumables!: Consumable[];
}

/** An item in a list over vehicles. */
export class FleetDueItemDto extends DueItemDto {
  fleetId!: string;
  depotId!: string;
  registrationMark!: string;
  fleetNumber!: string | null;
}

export class DueItemPageDto {
  items!: FleetDueItemDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export class VehicleDueItemsDto {
  vehicleId!: string;
  /** Zone of the vehicle's depot. */
  zone!: string;
  @ApiProperty({ format: 'date' })
  todayOn!: string;
  items!: DueItemDto[];
}

/** A due item with everything that it was worked out from. */
export class ExplainedDueItemDto extends FleetDueItemDto {
  /** The same numbers as data: baseline, each limit, which one binds. */
  @ApiProperty({ type: 'object', additionalProperties: true })
  reasoning!: Reasoning;
  /** The working in words, line by line, so that it can be redone on paper. */
  explanation!: string[];
}

export function toDueItemDto(
  row: Pick<DueItemRow, 'id' | 'vehicleId' | 'state' | 'todayOn' | 'details'>,
): DueItemDto {
  const { id, vehicleId, state, todayOn, details } = row;
  // the core's lists are read-only; nobody changes an answer
  return { id, vehicleId, state, todayOn, ...details } as DueItemDto;
}

export function toFleetDueItemDto(row: DueItemRow): FleetDueItemDto {
  const { fleetId, depotId, registrationMark, fleetNumber } = row;
  return { ...toDueItemDto(row), fleetId, depotId, registrationMark, fleetNumber };
}
