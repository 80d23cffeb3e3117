import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  IsArray,
  IsInt,
  IsISO4217CurrencyCode,
  IsObject,
  Matches,
  Max,
  Min,
  ValidateNested,
} from 'class-validator';
import { IsCode } from '../../../platform/http/is-code';

const CURRENCY = /^[A-Z]{3}$/;

// The bounds of the amounts keep what an item costs on a day within 32 bits, in which the search of a plan reads it: the
// highest risk per late day reaches that after some five years.

/** What the life of one task is worth. */
export class TaskValueDto {
  /**
   * Code of the task, as in the service programmes.
   * @example fluid-change
   */
  @IsCode()
  task!: string;

  /** As `valuePerItemMinor`, for this task; whole hundredths of the currency. */
  @IsInt()
  @Min(0)
  @Max(10_000_000)
  valueMinor!: number;
}

/** What one day after the due date costs, for each item. */
export class RiskPerLateDayDto {
  /**
   * For an item whose rule is safety-critical; whole hundredths of the currency. It may never pass its late limit while
   * there is a day on which it can be done.
   */
  @IsInt()
  @Min(0)
  @Max(1_000_000)
  safetyCritical!: number;

  /** For every other item; whole hundredths of the currency. */
  @IsInt()
  @Min(0)
  @Max(1_000_000)
  other!: number;
}

export class ReplacePlanningSettingsDto {
  /**
   * ISO 4217 code of the currency in which plans are weighed, and the ways to workshops with them. All amounts are whole
   * hundredths of it, also where it has no such coin. To change it converts nothing.
   * @example EUR
   */
  @IsISO4217CurrencyCode()
  @Matches(CURRENCY, { message: '$property must be three capital letters, such as EUR' })
  @ApiProperty({ pattern: CURRENCY.source, minLength: 3, maxLength: 3 })
  currency!: string;

  /**
   * What one visit to a workshop costs, whatever is done there and wherever it is: the vehicle stands, its round is
   * covered, somebody drives. Whole hundredths of the currency.
   */
  @IsInt()
  @Min(0)
  @Max(10_000_000)
  visitLossMinor!: number;

  /**
   * What the life of an item is worth, from one time it is done to the next: its parts and work. Whoever does it early
   * gives the share away that is left. For tasks without a value of their own; whole hundredths of the currency.
   */
  @IsInt()
  @Min(0)
  @Max(10_000_000)
  valuePerItemMinor!: number;

  /** Tasks whose life is worth something else, each task once. */
  @IsArray()
  @ArrayMaxSize(200)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => TaskValueDto)
  valueByTask!: TaskValueDto[];

  /** What each day after its due date costs for one item, by the danger of it; whole hundredths of the currency. */
  @IsObject()
  @ValidateNested()
  @Type(() => RiskPerLateDayDto)
  riskPerLateDayMinor!: RiskPerLateDayDto;

  /**
   * What it costs to leave an item out of a plan, beyond what its dearest day would cost, so that it is only left out where
   * it fits nowhere. More than `visitLossMinor`; whole hundredths of the currency.
   */
  @IsInt()
  @Min(1)
  @Max(100_000_000)
  leftOutMinor!: number;

  /** Days that a plan covers, from its first, unless it says otherwise. */
  @IsInt()
  @Min(7)
  @Max(366)
  horizonDays!: number;
}
