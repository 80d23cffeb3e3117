import { Type } from 'class-transformer';
import { ArrayMaxSize, IsArray, IsObject, ValidateNested } from 'class-validator';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import { NeededByWeekdayDto, RosterExceptionDto } from './roster-days.dto';

export class ReplaceRosterDto {
  /** Vehicles that the depot needs on the road, by day of the week; 0 where none is needed. */
  @IsObject()
  @ValidateNested()
  @Type(() => NeededByWeekdayDto)
  neededByWeekday!: NeededByWeekdayDto;

  /** Days on which another number is needed; no day twice. Replaces the whole list; left out, there are none. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(400)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => RosterExceptionDto)
  exceptions?: RosterExceptionDto[];
}
