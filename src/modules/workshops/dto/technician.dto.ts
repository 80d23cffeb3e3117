import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import { ArrayMaxSize, IsArray, IsObject, IsString, Length, ValidateNested } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import { weekdayHoursOf } from '../stored-hours';
import type { Technician } from '../technician.entity';
import { AbsenceDto, CompetenceDto, ShiftExceptionDto, WeekdayHoursDto } from './day-hours.dto';

export class CreateTechnicianDto {
  @IsString()
  @Length(1, 100)
  name!: string;

  @IsArray()
  @ArrayMaxSize(50)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => CompetenceDto)
  competences!: CompetenceDto[];

  /** Hours on the workshop's clock; they count while it is open. A weekday without an entry is off. */
  @IsArray()
  @ArrayMaxSize(7)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => WeekdayHoursDto)
  shifts!: WeekdayHoursDto[];

  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(400)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => ShiftExceptionDto)
  shiftExceptions?: ShiftExceptionDto[];

  /** Leave, sickness, courses. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(200)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => AbsenceDto)
  absences?: AbsenceDto[];
}

export class UpdateTechnicianDto {
  @MayBeAbsent()
  @IsString()
  @Length(1, 100)
  name?: string;

  /** Replaces the whole list. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(50)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => CompetenceDto)
  competences?: CompetenceDto[];

  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(7)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => WeekdayHoursDto)
  shifts?: WeekdayHoursDto[];

  /** Replaces the whole list. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(400)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => ShiftExceptionDto)
  shiftExceptions?: ShiftExceptionDto[];

  /** Replaces the whole list. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(200)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => AbsenceDto)
  absences?: AbsenceDto[];

  /** First day on which they do not work here any more. */
  @MayBeNull()
  @IsCalendarDate()
  @ApiProperty({ format: 'date', nullable: true, type: String })
  retiredOn?: string | null;
}

/** Somebody who works on vehicles. */
export class TechnicianDto {
  id!: string;
  workshopId!: string;
  name!: string;
  competences!: CompetenceDto[];
  shifts!: WeekdayHoursDto[];
  shiftExceptions!: ShiftExceptionDto[];
  absences!: AbsenceDto[];
  @ApiProperty({ format: 'date', nullable: true, type: String })
  retiredOn!: string | null;
  revision!: number;
  createdAt!: string;
  updatedAt!: string;
}

export class TechnicianPageDto {
  items!: TechnicianDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toTechnicianDto(technician: Technician): TechnicianDto {
  return {
    id: technician.id,
    workshopId: technician.workshopId,
    name: technician.name,
    competences: technician.competences,
    shifts: weekdayHoursOf(technician.shifts),
    shiftExceptions: technician.shiftExceptions,
    absences: technician.absences,
    retiredOn: technician.retiredOn,
    revision: technician.revision,
    createdAt: technician.createdAt.toISOString(),
    updatedAt: technician.updatedAt.toISOString(),
  };
}
