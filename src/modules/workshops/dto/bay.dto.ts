import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsObject,
  IsString,
  Length,
  ValidateNested,
} from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import type { Bay } from '../bay.entity';
import { AbsenceDto } from './day-hours.dto';

export class CreateBayDto {
  /** @example Lift 1 */
  @IsString()
  @Length(1, 100)
  name!: string;

  /**
   * Every kind of work that it serves: a lift may serve flat work too.
   * @example ["lift", "flat"]
   */
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(20)
  @ArrayUnique()
  @IsString({ each: true })
  @Length(1, 60, { each: true })
  kinds!: string[];

  /** Times at which it cannot be used. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(200)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => AbsenceDto)
  closures?: AbsenceDto[];
}

export class UpdateBayDto {
  @MayBeAbsent()
  @IsString()
  @Length(1, 100)
  name?: string;

  @MayBeAbsent()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(20)
  @ArrayUnique()
  @IsString({ each: true })
  @Length(1, 60, { each: true })
  kinds?: string[];

  /** Replaces the whole list. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(200)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => AbsenceDto)
  closures?: AbsenceDto[];

  /** First day on which it is not used any more. */
  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ format: 'date', nullable: true, type: String })
  retiredOn?: string | null;
}

/** A place for one vehicle at a time. */
export class BayDto {
  id!: string;
  workshopId!: string;
  name!: string;
  kinds!: string[];
  closures!: AbsenceDto[];
  @ApiProperty({ format: 'date', nullable: true, type: String })
  retiredOn!: string | null;
  revision!: number;
  createdAt!: string;
  updatedAt!: string;
}

export class BayPageDto {
  items!: BayDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toBayDto(bay: Bay): BayDto {
  return {
    id: bay.id,
    workshopId: bay.workshopId,
    name: bay.name,
    kinds: bay.kinds,
    closures: bay.closures,
    retiredOn: bay.retiredOn,
    revision: bay.revision,
    createdAt: bay.createdAt.toISOString(),
    updatedAt: bay.updatedAt.toISOString(),
  };
}
