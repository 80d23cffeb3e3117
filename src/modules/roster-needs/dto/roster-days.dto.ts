import { ApiProperty } from '@nestjs/swagger';
import { IsInt, IsString, Length, Max, Min } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';

/** Vehicles that a depot needs on the road, by day of the week. */
export class NeededByWeekdayDto {
  @IsInt()
  @Min(0)
  @Max(10_000)
  monday!: number;

  @IsInt()
  @Min(0)
  @Max(10_000)
  tuesday!: number;

  @IsInt()
  @Min(0)
  @Max(10_000)
  wednesday!: number;

  @IsInt()
  @Min(0)
  @Max(10_000)
  thursday!: number;

  @IsInt()
  @Min(0)
  @Max(10_000)
  friday!: number;

  @IsInt()
  @Min(0)
  @Max(10_000)
  saturday!: number;

  @IsInt()
  @Min(0)
  @Max(10_000)
  sunday!: number;
}

/** Days on which another number of vehicles is needed than by the weekday. */
export class RosterExceptionDto {
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  fromOn!: string;

  /** The first day after it. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  untilOn!: string;

  /** Vehicles that are needed on the road on each of these days. */
  @IsInt()
  @Min(0)
  @Max(10_000)
  needed!: number;

  /** @example school holidays */
  @IsString()
  @Length(1, 200)
  reason!: string;
}

/** Monday first. */
export function weekdayNumbersOf(needed: NeededByWeekdayDto): number[] {
  const { monday, tuesday, wednesday, thursday, friday, saturday, sunday } = needed;
  return [monday, tuesday, wednesday, thursday, friday, saturday, sunday];
}

/** @param numbers Monday first */
export function toNeededByWeekdayDto(numbers: readonly number[]): NeededByWeekdayDto {
  const [monday = 0, tuesday = 0, wednesday = 0, thursday = 0, friday = 0, saturday = 0, sunday = 0] =
    numbers;
  return { monday, tuesday, wednesday, thursday, friday, saturday, sunday };
}
