import { ApiProperty } from '@nestjs/swagger';
import { IsOptional, IsString, IsUUID, Length } from 'class-validator';
import { IsCode } from '../../../platform/http/is-code';
import { IsInstant } from '../../../platform/http/is-instant';
import { PageQueryDto } from '../../../platform/http/page-query.dto';

export class AuditEntryParamsDto {
  @IsUUID()
  auditEntryId!: string;
}

export class ListAuditEntriesQueryDto extends PageQueryDto {
  /** Only what was done to this vehicle and to whatever belongs to it. */
  @IsOptional()
  @IsUUID()
  vehicleId?: string;

  /** Only what was done to this record. */
  @IsOptional()
  @IsUUID()
  subjectId?: string;

  /** Only what was done to this kind of record. */
  @IsOptional()
  @IsCode()
  subjectType?: string;

  /** Only what this one did, exactly as it stands in entries. */
  @IsOptional()
  @IsString()
  @Length(1, 300)
  actor?: string;

  /** Only entries recorded at this moment or later. */
  @IsOptional()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  fromAt?: string;

  /** Only entries recorded before this moment. */
  @IsOptional()
  @IsInstant()
  @ApiProperty({ format: 'date-time', maxLength: 40 })
  untilAt?: string;
}
