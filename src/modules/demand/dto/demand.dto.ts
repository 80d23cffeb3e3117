import { ApiProperty } from '@nestjs/swagger';

const BANDS = ['exact', 'rounded'] as const;

/** A number that is not known yet. */
export class DemandFigureDto {
  expected!: number;
  /** Not exceeded with a probability of 5 % at least. */
  low!: number;
  /** Not exceeded with a probability of 95 % at least. */
  high!: number;
  /** `rounded` where quantities were rounded for the band; what is expected stays exact. */
  @ApiProperty({ enum: BANDS })
  band!: (typeof BANDS)[number];
}

/** How often a task is done. */
export class TaskDemandDto extends DemandFigureDto {
  /** @example recharge */
  task!: string;
}

/** How many gas units of a type have to be at hand: for recharges, and in place of units that are too old. */
export class UnitDemandDto extends DemandFigureDto {
  /** Null where it is not on record which unit is fitted. */
  unitTypeCode!: string | null;
}

/** Fluid, filters, nitrogen and whatever else the rules of the programme name. */
export class ConsumableDemandDto extends DemandFigureDto {
  /** @example nitrogen */
  item!: string;
  /** @example m³ */
  unit!: string;
}

export class MonthlyDemandDto {
  /** @example 2026-12 */
  month!: string;
  @ApiProperty({ format: 'date' })
  fromOn!: string;
  /** The first day after it. */
  @ApiProperty({ format: 'date' })
  untilOn!: string;
  /** The same tasks in every month. */
  @ApiProperty({ type: [TaskDemandDto] })
  tasks!: TaskDemandDto[];
  @ApiProperty({ type: [UnitDemandDto] })
  units!: UnitDemandDto[];
  /** Of all tasks whose labour is known. */
  labourMinutes!: DemandFigureDto;
  /** Expected number of tasks whose labour is not known, and which the minutes leave out. */
  expectedWithoutLabour!: number;
  @ApiProperty({ type: [ConsumableDemandDto] })
  consumables!: ConsumableDemandDto[];
}

/** Something that is missing from the figures, or from what they are made of. */
export class DemandGapDto {
  /** @example in-service-date */
  code!: string;
  /** How many due items it concerns. */
  @ApiProperty({ type: 'integer' })
  items!: number;
  /** In words, of one of them. */
  sentence!: string;
}

/** What the coming months will ask for. */
export class DemandDto {
  @ApiProperty({ format: 'date' })
  fromOn!: string;
  /** That a figure lies from `low` to `high`. */
  probability!: number;
  @ApiProperty({ type: [MonthlyDemandDto] })
  months!: MonthlyDemandDto[];
  /** Due items that the figures are made of. */
  @ApiProperty({ type: 'integer' })
  itemsCounted!: number;
  /** Vehicles in service for which nothing is counted: no rule of a programme applies to them. */
  @ApiProperty({ type: 'integer' })
  vehiclesWithoutItems!: number;
  @ApiProperty({ type: [DemandGapDto] })
  cannotBeTold!: DemandGapDto[];
  /** What the figures take for granted, in sentences. */
  assumptions!: string[];
}
