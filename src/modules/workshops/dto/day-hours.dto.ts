import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  IsArray,
  IsInt,
  IsObject,
  IsString,
  Length,
  Matches,
  Max,
  Min,
  ValidateNested,
} from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeNull } from '../../../platform/http/optional-fields';

const TIME = /^([01]\d|2[0-3]):[0-5]\d$/;
const END = /^(([01]\d|2[0-3]):[0-5]\d|24:00)$/;

/** Hours of one day on the workshop's clock. An end that is not after the start belongs to the following day. */
export class DayWindowDto {
  /** @example 08:00 */
  @Matches(TIME, { message: '$property must be a time of day as HH:MM' })
  @ApiProperty({ pattern: TIME.source, maxLength: 5 })
  from!: string;

  /**
   * 24:00 is the end of the day.
   * @example 12:00
   */
  @Matches(END, { message: '$property must be a time of day as HH:MM, or 24:00' })
  @ApiProperty({ pattern: END.source, maxLength: 5 })
  until!: string;
}

/** Hours of one weekday; breaks are what is left between its windows. */
export class WeekdayHoursDto {
  /** 1 is Monday, 7 is Sunday. */
  @IsInt()
  @Min(1)
  @Max(7)
  weekday!: number;

  @IsArray()
  @ArrayMaxSize(10)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => DayWindowDto)
  windows!: DayWindowDto[];
}

/** Days with other hours than the weekly ones; shut where there is no window. They win over public holidays. */
export class DayExceptionDto {
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  fromOn!: string;

  /** The first day after it. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  untilOn!: string;

  @IsArray()
  @ArrayMaxSize(10)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => DayWindowDto)
  windows!: DayWindowDto[];

  /** @example stocktaking */
  @MayBeNull()
  @IsString()
  @Length(1, 200)
  note?: string | null;
}

/** A time at which a bay cannot be used, or a person is not there. */
export class AbsenceDto {
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  startsAt!: string;

  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  endsAt!: string;

  /** @example lift examination */
  @MayBeNull()
  @IsString()
  @Length(1, 200)
  reason?: string | null;
}

/** Other hours of one person on one day; off where there is no window. */
export class ShiftExceptionDto {
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  on!: string;

  @IsArray()
  @ArrayMaxSize(10)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => DayWindowDto)
  windows!: DayWindowDto[];

  @MayBeNull()
  @IsString()
  @Length(1, 200)
  note?: string | null;
}

/** What a person may do, and how long that counts. */
export class CompetenceDto {
  /** @example pressure-equipment */
  @IsString()
  @Length(1, 60)
  code!: string;

  /** The last day on which it counts; left out, it has no end. */
  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ format: 'date', nullable: true, type: String })
  lastOn?: string | null;

  /** Certificate, course or whoever vouches for it. */
  @MayBeNull()
  @IsString()
  @Length(1, 200)
  evidence?: string | null;
}
