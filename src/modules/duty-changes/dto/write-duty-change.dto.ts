import { ApiProperty } from '@nestjs/swagger';
import { IsString, Length } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { IsCode } from '../../../platform/http/is-code';
import { MayBeNull } from '../../../platform/http/optional-fields';

export class CreateDutyChangeDto {
  /** First day of the new duty; today at the depot at the latest. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  fromOn!: string;

  /** @example urban-stop-start */
  @IsCode()
  dutyClass!: string;

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
