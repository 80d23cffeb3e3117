import { ApiProperty } from '@nestjs/swagger';
import { IsBoolean, IsOptional, IsString, IsUUID, Length } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText } from '../../../platform/http/query-values';

export class WorkshopParamsDto {
  @IsUUID()
  workshopId!: string;
}

export class BayParamsDto {
  @IsUUID()
  bayId!: string;
}

export class TechnicianParamsDto {
  @IsUUID()
  technicianId!: string;
}

export class ListWorkshopsQueryDto extends PageQueryDto {
  /** The operator's own key. */
  @IsOptional()
  @IsString()
  @Length(1, 100)
  externalKey?: string;

  /** Also those that take no work any more. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeRetired?: boolean;
}

export class ListOfWorkshopQueryDto extends PageQueryDto {
  /** Also those that are not used any more. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeRetired?: boolean;
}

export class WorkshopOpeningQueryDto {
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  fromOn!: string;

  /** The first day that is not asked for; at most 400 days after `fromOn`. */
  @IsCalendarDate()
  @ApiProperty({ format: 'date' })
  untilOn!: string;
}
