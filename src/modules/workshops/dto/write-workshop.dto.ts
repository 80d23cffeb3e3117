import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  IsArray,
  IsIn,
  IsInt,
  IsObject,
  IsString,
  Length,
  Max,
  Min,
  ValidateNested,
} from 'class-validator';
import type { VehicleStay } from '../../../core/working-time/workshop';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { IsIanaTimeZone } from '../../../platform/http/is-time-zone';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import { DayExceptionDto, WeekdayHoursDto } from './day-hours.dto';

export const VEHICLE_STAYS = ['not-at-all', 'over-breaks', 'overnight'] as const;

export class CreateWorkshopDto {
  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  /** @example Upper Tarn workshop */
  @IsString()
  @Length(1, 200)
  name!: string;

  /** @example Europe/London */
  @IsIanaTimeZone()
  zone!: string;

  /** A weekday without an entry is shut. */
  @IsArray()
  @ArrayMaxSize(7)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => WeekdayHoursDto)
  weeklyHours!: WeekdayHoursDto[];

  /**
   * Whose public holidays it keeps; a code of `/v1/holiday-regions`. Left out, none.
   * @example GB-ENG
   */
  @MayBeNull()
  @IsString()
  @Length(2, 20)
  holidayRegion?: string | null;

  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(200)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => DayExceptionDto)
  dayExceptions?: DayExceptionDto[];

  /**
   * Where a vehicle may stay while nobody works on it: not at all (a job is one stretch), over the breaks of one day,
   * or overnight, over weekends and holidays too. Left out, over breaks.
   */
  @MayBeAbsent()
  @IsIn(VEHICLE_STAYS)
  @ApiProperty({ enum: VEHICLE_STAYS })
  vehicleStay?: VehicleStay;

  /** For which the bay and the vehicle are taken before the work; left out, 0. */
  @MayBeAbsent()
  @IsInt()
  @Min(0)
  @Max(240)
  minutesBefore?: number;

  @MayBeAbsent()
  @IsInt()
  @Min(0)
  @Max(240)
  minutesAfter?: number;

  /** Free times are offered at multiples of this; it divides a day. Left out, 15. */
  @MayBeAbsent()
  @IsInt()
  @Min(1)
  @Max(240)
  gridMinutes?: number;

  /** What whoever signs a job off must have beside what the job asks for; left out, nothing. */
  @MayBeNull()
  @IsString()
  @Length(1, 60)
  signOffCompetence?: string | null;
}

export class UpdateWorkshopDto {
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;

  @MayBeAbsent()
  @IsString()
  @Length(1, 200)
  name?: string;

  @MayBeAbsent()
  @IsIanaTimeZone()
  zone?: string;

  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(7)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => WeekdayHoursDto)
  weeklyHours?: WeekdayHoursDto[];

  @MayBeNull()
  @IsString()
  @Length(2, 20)
  holidayRegion?: string | null;

  /** Replaces the whole list. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(200)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => DayExceptionDto)
  dayExceptions?: DayExceptionDto[];

  @MayBeAbsent()
  @IsIn(VEHICLE_STAYS)
  @ApiProperty({ enum: VEHICLE_STAYS })
  vehicleStay?: VehicleStay;

  @MayBeAbsent()
  @IsInt()
  @Min(0)
  @Max(240)
  minutesBefore?: number;

  @MayBeAbsent()
  @IsInt()
  @Min(0)
  @Max(240)
  minutesAfter?: number;

  @MayBeAbsent()
  @IsInt()
  @Min(1)
  @Max(240)
  gridMinutes?: number;

  @MayBeNull()
  @IsString()
  @Length(1, 60)
  signOffCompetence?: string | null;

  /** First day on which it takes no work any more. */
  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ format: 'date', nullable: true, type: String })
  retiredOn?: string | null;
}
