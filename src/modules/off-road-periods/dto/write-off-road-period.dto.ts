import { ApiProperty } from '@nestjs/swagger';
import { IsString, Length } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { MayBeNull } from '../../../platform/http/optional-fields';

export class CreateOffRoadPeriodDto {
  /** First day off the road. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  fromOn!: string;

  /** First day back; later than `fromOn`. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  untilOn!: string;

  /** @example waiting for a body part */
  @IsString()
  @Length(1, 500)
  reason!: string;

  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;
}
