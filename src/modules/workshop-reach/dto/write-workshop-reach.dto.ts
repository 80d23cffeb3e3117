import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  ArrayMinSize,
  IsArray,
  IsInt,
  IsObject,
  IsUUID,
  Max,
  Min,
  ValidateNested,
} from 'class-validator';

/** A workshop that vehicles of a depot can go to, and what the way costs. */
export class ReachableWorkshopDto {
  @IsUUID()
  workshopId!: string;

  /** Minutes of driving for one visit, there and back together. */
  @IsInt()
  @Min(0)
  @Max(1_440)
  transferMinutes!: number;

  /**
   * What the way costs for one visit, there and back together: fuel, wear, whoever drives. Whole hundredths of the
   * currency of the planning settings; what every visit costs, wherever it is, is `visitLossMinor` there.
   */
  @IsInt()
  @Min(0)
  @Max(1_000_000)
  transferCostMinor!: number;
}

export class ReplaceWorkshopReachDto {
  /** Each workshop once. Replaces the whole list; a workshop that is not in it is out of reach. */
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(50)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => ReachableWorkshopDto)
  workshops!: ReachableWorkshopDto[];
}
