import { ApiProperty } from '@nestjs/swagger';
import {
  ArrayMaxSize,
  IsArray,
  IsBoolean,
  IsIn,
  IsOptional,
  IsString,
  IsUUID,
  MaxLength,
} from 'class-validator';
import { LIMIT_KINDS, type LimitKind } from '../../../core/due/rule';
import { DUE_STATES, type DueState } from '../../../core/due/state';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText, CommaSeparated } from '../../../platform/http/query-values';

export class DueItemParamsDto {
  @IsUUID()
  dueItemId!: string;
}

export class DueItemVehicleParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class ListDueItemsQueryDto extends PageQueryDto {
  @IsOptional()
  @IsUUID()
  fleetId?: string;

  @IsOptional()
  @IsUUID()
  depotId?: string;

  @IsOptional()
  @IsUUID()
  vehicleId?: string;

  /** States on today's date at each depot, separated by commas. */
  @IsOptional()
  @CommaSeparated()
  @IsArray()
  @ArrayMaxSize(DUE_STATES.length)
  @IsIn(DUE_STATES, { each: true })
  @ApiProperty({ required: false, enum: DUE_STATES, isArray: true, maxItems: DUE_STATES.length })
  state?: DueState[];

  @IsOptional()
  @IsString()
  @MaxLength(100)
  task?: string;

  /** The limit that binds. */
  @IsOptional()
  @IsIn(LIMIT_KINDS)
  @ApiProperty({ required: false, enum: LIMIT_KINDS })
  driver?: LimitKind;

  @IsOptional()
  @BooleanText()
  @IsBoolean()
  safetyCritical?: boolean;

  /** Only items of vehicles that are on hold (true) or not (false). */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  onHold?: boolean;

  /** Due on this day or later. */
  @IsOptional()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date' })
  dueFrom?: string;

  /** Due on this day or earlier. */
  @IsOptional()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date' })
  dueUntil?: string;
}
