import { ApiProperty } from '@nestjs/swagger';
import { IsBoolean, IsIn, IsOptional, IsString, IsUUID, Length } from 'class-validator';
import { bulkOutcomes, type BulkOutcome } from '../../../platform/bulk/bulk-result';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText } from '../../../platform/http/query-values';
import { importKindNames, type ImportKindName } from '../import-kind';

export class ImportParamsDto {
  @IsUUID()
  importId!: string;
}

export class StartImportQueryDto {
  /** What the lines of the file are. */
  @IsIn(importKindNames)
  @ApiProperty({ enum: importKindNames })
  kind!: ImportKindName;

  /** Report what would happen, line by line, and store nothing. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  dryRun?: boolean = false;

  /** Name of the file, for people. */
  @IsOptional()
  @IsString()
  @Length(1, 200)
  fileName?: string;
}

export class ListImportLinesQueryDto extends PageQueryDto {
  @IsOptional()
  @IsIn(bulkOutcomes)
  @ApiProperty({ required: false, enum: bulkOutcomes })
  outcome?: BulkOutcome;
}
