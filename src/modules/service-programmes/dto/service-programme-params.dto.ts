import { ApiProperty } from '@nestjs/swagger';
import { IsInt, IsOptional, IsUUID, Max, Min } from 'class-validator';
import { IntegerText } from '../../../platform/http/query-values';

export class ServiceProgrammeParamsDto {
  @IsUUID()
  programmeId!: string;
}

export class ProgrammeVersionParamsDto extends ServiceProgrammeParamsDto {
  @IsUUID()
  versionId!: string;
}

export class PreviewQueryDto {
  /** How many of the moved items to list at most. */
  @IsOptional()
  @IntegerText()
  @IsInt()
  @Min(1)
  @Max(500)
  @ApiProperty({ required: false, type: 'integer', minimum: 1, maximum: 500, default: 100 })
  limit?: number = 100;
}
