import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsNumber, IsString, Length, Max, Min } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { IsCode } from '../../../platform/http/is-code';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';

export class CreateTaskCompletionDto {
  /** @example fluid-change */
  @IsCode()
  task!: string;

  /** Where, for work on one gas unit; left out, the work was done at every position. @example suspension-front-left */
  @MayBeNull()
  @IsCode()
  position?: string | null;

  /** Today at the depot at the latest. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  doneOn!: string;

  /** `failed` for a test that was not passed: it is owed again at once. Left out, the work was done. */
  @MayBeAbsent()
  @IsIn(['done', 'failed'])
  @ApiProperty({ required: false, enum: ['done', 'failed'], default: 'done' })
  outcome?: 'done' | 'failed';

  /** As the instrument showed it. */
  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(5_000_000)
  odometerValue?: number | null;

  /** Left out, the vehicle's own. */
  @MayBeAbsent()
  @IsIn(['km', 'mi'])
  @ApiProperty({ required: false, enum: ['km', 'mi'] })
  odometerUnit?: 'km' | 'mi';

  /** As the instrument showed them. */
  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(500_000)
  engineHours?: number | null;

  /** Who did it. */
  @MayBeNull()
  @IsString()
  @Length(1, 200)
  doneBy?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 2000)
  note?: string | null;

  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;
}

export class VoidTaskCompletionDto {
  /** Why it counts no more. */
  @IsString()
  @Length(1, 2000)
  reason!: string;
}
