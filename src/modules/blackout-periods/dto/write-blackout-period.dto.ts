import { ApiProperty } from '@nestjs/swagger';
import { IsString, Length } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { MayBeNull } from '../../../platform/http/optional-fields';

export class CreateBlackoutPeriodDto {
  /** First day on which the vehicle has to stay on the road. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  fromOn!: string;

  /** First day on which it may be off the road again; later than `fromOn`, by two years at most. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  untilOn!: string;

  /** @example the only one with a stretcher lift */
  @IsString()
  @Length(1, 500)
  reason!: string;

  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;
}
