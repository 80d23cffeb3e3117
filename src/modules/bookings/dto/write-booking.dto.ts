import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsIn,
  IsInt,
  IsObject,
  IsString,
  IsUUID,
  Length,
  Max,
  Min,
  ValidateNested,
} from 'class-validator';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';

export const BOOKING_CAUSES = ['planned', 'failure'] as const;

/** Work that somebody asks for beside what is due. */
export class ExtraWorkDto {
  /** @example Look for a leak at the height corrector */
  @IsString()
  @Length(1, 200)
  title!: string;

  /** Minutes of work. */
  @IsInt()
  @Min(1)
  @Max(4_800)
  minutes!: number;

  /** What one person needs for it; left out, anybody may do it. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(10)
  @ArrayUnique()
  @IsString({ each: true })
  @Length(1, 60, { each: true })
  competences?: string[];

  /** Kind of bay; left out, any. */
  @MayBeNull()
  @IsString()
  @Length(1, 60)
  bayKind?: string | null;
}

/** The work to be done, in due items of the vehicle and whatever else was asked for. */
export class WantedWorkDto {
  /** Keys of due items of the vehicle; left out, everything that is overdue, due or may be done already. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(60)
  @ArrayUnique()
  @IsString({ each: true })
  @Length(1, 200, { each: true })
  dueItemKeys?: string[];

  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(20)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => ExtraWorkDto)
  extraWork?: ExtraWorkDto[];

  /** Minutes of work in all, where somebody knows better than the sum of the rules. */
  @MayBeNull()
  @IsInt()
  @Min(1)
  @Max(9_600)
  workMinutes?: number | null;
}

export class CreateBookingDto extends WantedWorkDto {
  @IsUUID()
  vehicleId!: string;

  @IsUUID()
  workshopId!: string;

  /** Start of the work, a whole minute. */
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  startsAt!: string;

  /** Left out, the best one that is free. */
  @MayBeNull()
  @IsUUID()
  bayId?: string | null;

  /** Left out, the fewest people with the right competences. */
  @MayBeNull()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(12)
  @ArrayUnique()
  @IsUUID(undefined, { each: true })
  technicianIds?: string[] | null;

  /**
   * Holds the time for so many minutes while the caller makes up their mind; left out, the booking is firm.
   * @example 15
   */
  @MayBeNull()
  @IsInt()
  @Min(1)
  @Max(1_440)
  holdMinutes?: number | null;

  /** Why the vehicle comes: planned maintenance, or a failure. Left out, planned. */
  @MayBeAbsent()
  @IsIn(BOOKING_CAUSES)
  @ApiProperty({ enum: BOOKING_CAUSES })
  cause?: 'planned' | 'failure';

  /** Who called, and how to reach them. */
  @MayBeNull()
  @IsString()
  @Length(1, 200)
  contact?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 2_000)
  note?: string | null;

  /** The caller's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;
}

/**
 * Moves a booking, makes it longer or shorter, or gives it to another bay or other people. What is not named stays
 * as it is; where only the time changes, bay and people stay if they are free then.
 */
export class UpdateBookingDto extends WantedWorkDto {
  @MayBeAbsent()
  @IsUUID()
  workshopId?: string;

  @MayBeAbsent()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  startsAt?: string;

  /** Null asks for the best one that is free. */
  @MayBeNull()
  @IsUUID()
  bayId?: string | null;

  /** Null asks for the fewest people with the right competences. */
  @MayBeNull()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(12)
  @ArrayUnique()
  @IsUUID(undefined, { each: true })
  technicianIds?: string[] | null;

  @MayBeAbsent()
  @IsIn(BOOKING_CAUSES)
  @ApiProperty({ enum: BOOKING_CAUSES })
  cause?: 'planned' | 'failure';

  @MayBeNull()
  @IsString()
  @Length(1, 200)
  contact?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 2_000)
  note?: string | null;
}

/** When something happened at the workshop. */
export class BookingMomentDto {
  /** Left out, now. */
  @MayBeAbsent()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  at?: string;
}

export class CancelBookingDto {
  /** @example caller found another day */
  @IsString()
  @Length(1, 500)
  reason!: string;
}

export class CollectBookingDto extends BookingMomentDto {
  /** A vehicle on hold leaves on a trailer, or in tow: say why and how. It is not released to the road. */
  @MayBeNull()
  @IsString()
  @Length(1, 500)
  leavesOnHold?: string | null;
}
