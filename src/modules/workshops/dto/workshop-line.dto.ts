import { OmitType } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import { ArrayMaxSize, IsArray, IsObject, IsString, Length, ValidateNested } from 'class-validator';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import { WeekdayHoursDto } from './day-hours.dto';
import { CreateWorkshopDto } from './write-workshop.dto';

/** A workshop as a line of a file states it; other records are named by the operator's keys. */
export class WorkshopLine extends OmitType(CreateWorkshopDto, ['externalKey', 'weeklyHours']) {
  @IsString()
  @Length(1, 100)
  externalKey!: string;

  /** only a workshop that is on file already can do without */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(7)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => WeekdayHoursDto)
  weeklyHours?: WeekdayHoursDto[];
}
