import { ApiProperty } from '@nestjs/swagger';
import { ArrayMaxSize, ArrayMinSize, ArrayUnique, IsArray, IsString, Length } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';

export class PlaceHoldDto {
  /** Why the vehicle is not to be released to the road. */
  @IsString()
  @Length(3, 1000)
  reason!: string;
}

export class LiftHoldDto {
  /** What was done, or why the hold is no longer needed. */
  @IsString()
  @Length(3, 1000)
  reason!: string;
}

/** A person's decision to let a vehicle go in spite of some reasons, for some days. */
export class OverrideHoldDto {
  /** Keys of the reasons that it lifts, as the vehicle's hold shows them. */
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(50)
  @ArrayUnique()
  @IsString({ each: true })
  @Length(1, 300, { each: true })
  reasonKeys!: string[];

  /** Who decides, by name. */
  @IsString()
  @Length(2, 200)
  namedPerson!: string;

  /** What the decision rests on and under which conditions the vehicle may move. */
  @IsString()
  @Length(10, 2000)
  statement!: string;

  /** First day on which it counts, at the vehicle's depot: today or later. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  fromOn!: string;

  /** Last day on which it counts; an override lasts 30 days at most. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  untilOn!: string;
}
